package api

import (
	"slices"
	"strconv"
	"strings"

	"reedlark/tab/harp"
)

// keyKind is a harp by its key and register. Both spellings of one harp are one
// key.
type keyKind[T any] struct{ at func(*T) **harp.Key }

func key[T any](at func(*T) **harp.Key) kind[T] { return keyKind[T]{at} }

func (k keyKind[T]) describe(p *Parameter) {
	p.Allowed = oneOf(harp.KeyNames()) + ", as low F or high G for another octave"
	for _, register := range append([]string{""}, harp.Registers()...) {
		for _, name := range harp.KeyNames() {
			full := strings.TrimSpace(register + " " + name)
			p.Offered = append(p.Offered, Word{full, full})
		}
	}
}

func (k keyKind[T]) set(t *T, v given) error {
	if !v.is(isString) {
		return errType
	}
	parsed, err := harp.ParseKey(v.text)
	if err != nil {
		return errAllowed
	}
	*k.at(t) = &parsed
	return nil
}

func (k keyKind[T]) json(t *T) string {
	if on := *k.at(t); on != nil {
		return canonicalString(on.String())
	}
	return ""
}

// edgeKind is a beat or a line.
type edgeKind[T any] struct{ at func(*T) *Edge }

func edge[T any](at func(*T) *Edge) kind[T] { return edgeKind[T]{at} }

func (k edgeKind[T]) describe(p *Parameter) {
	p.Allowed = "a beat from 0 on, or a line of the page as L3"
}

// lineNumber reads the name of a line of the page, L and its number; six digits
// are more lines than fit a tab.
func lineNumber(name string) (int, bool) {
	digits, found := strings.CutPrefix(name, "L")
	if !found || len(digits) > 6 || strings.Trim(digits, "0123456789") != "" || strings.HasPrefix(digits, "0") {
		return 0, false
	}
	line, err := strconv.Atoi(digits)
	return line, err == nil
}

func (k edgeKind[T]) set(t *T, v given) error {
	if v.typ == isString || v.is(isString) && strings.HasPrefix(v.text, "L") {
		return k.setLine(t, v)
	}
	f, err := readNumber(v)
	switch {
	case err != nil:
		return err
	case f < 0:
		return errAllowed
	}
	*k.at(t) = Edge{Beat: f, IsBeat: true}
	return nil
}

func (k edgeKind[T]) setLine(t *T, v given) error {
	if _, err := plainNumber(v.text); err == nil {
		return errType // a beat is a number in JSON
	}
	line, ok := lineNumber(v.text)
	if !ok {
		return errAllowed
	}
	*k.at(t) = Edge{Line: line}
	return nil
}

func (k edgeKind[T]) json(t *T) string {
	switch e := *k.at(t); {
	case e.IsBeat:
		return decimal(e.Beat)
	case e.Line > 0:
		return canonicalString("L" + strconv.Itoa(e.Line))
	default:
		return ""
	}
}

// reedsKind is a layout, by name or of the caller's own.
type reedsKind[T any] struct{ at func(*T) *Layout }

func reeds[T any](at func(*T) *Layout) kind[T] { return reedsKind[T]{at} }

func (k reedsKind[T]) describe(p *Parameter) {
	p.Words = plain(harp.Layouts()...)
	p.Allowed = oneOf(harp.Layouts()) + "; in JSON also {\"blow\":[ten notes],\"draw\":[ten notes]}"
}

func (k reedsKind[T]) set(t *T, v given) error {
	if v.own != nil {
		_, err := harp.CustomLayout(v.own.Blow, v.own.Draw)
		*k.at(t) = *v.own
		return err
	}
	if !v.is(isString) {
		return errType
	}
	if !slices.Contains(harp.Layouts(), v.text) {
		return errAllowed
	}
	*k.at(t) = Layout{Name: v.text}
	return nil
}

func (k reedsKind[T]) json(t *T) string {
	l := *k.at(t)
	switch {
	case l.Blow != nil:
		return `{"blow":` + canonicalStrings(l.Blow) + `,"draw":` + canonicalStrings(l.Draw) + `}`
	case l.Name != "":
		return canonicalString(l.Name)
	default:
		return ""
	}
}
