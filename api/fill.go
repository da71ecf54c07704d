package api

import "slices"

// pair is a name and its value as a query or a JSON object has them.
type pair struct {
	name  string
	value given
}

const linkName = "z"

// fill makes a Request of pairs: a link alone, or the parameters of a tab.
func fill(pairs []pair) (Request, error) {
	if err := known(pairs, append(names(), linkName)); err != nil {
		return Request{}, err
	}
	pairs = present(pairs)
	if i := slices.IndexFunc(pairs, func(p pair) bool { return p.name == linkName }); i >= 0 {
		return follow(pairs, i)
	}
	return assign(pairs)
}

// follow opens the link among the pairs.
func follow(pairs []pair, i int) (Request, error) {
	if len(pairs) > 1 {
		return Request{}, malformed(linkName, "z is a whole request: nothing may stand beside it")
	}
	if !pairs[i].value.is(isString) {
		return Request{}, malformed(linkName, "z cannot be %s: it is a string", pairs[i].value.typ)
	}
	return FromLink(pairs[i].value.text)
}

// assign sets every parameter; a tab has to be among them.
func assign(pairs []pair) (Request, error) {
	r := Defaults()
	for _, p := range pairs {
		if err := r.set(p.name, p.value); err != nil {
			return Request{}, err
		}
	}
	if !slices.ContainsFunc(pairs, func(p pair) bool { return p.name == "tab" }) {
		return Request{}, malformed("tab", "there is no tab: give one as the parameter tab")
	}
	return r, nil
}

// known refuses names that are not among those allowed, and names given twice.
func known(pairs []pair, allowed []string) error {
	seen := map[string]bool{}
	for _, p := range pairs {
		switch {
		case !slices.Contains(allowed, p.name):
			return unknown(p.name, allowed)
		case seen[p.name]:
			return malformed(p.name, "%s is given more than once", p.name)
		}
		seen[p.name] = true
	}
	return nil
}

// present leaves out what is null, which is as good as absent.
func present(pairs []pair) []pair {
	return slices.DeleteFunc(slices.Clone(pairs), func(p pair) bool { return p.value.typ == isNull })
}
