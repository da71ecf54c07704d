package lexicon

import "strings"

// romance are the note names of the solmization languages; Russian is spelled
// in Cyrillic. Common practice, no source.
var romance = map[string]string{
	"do": "C", "dó": "C", "ut": "C", "re": "D", "ré": "D", "mi": "E", "fa": "F", "fá": "F", "sol": "G", "la": "A", "lá": "A", "si": "B",
	"до": "C", "ре": "D", "ми": "E", "фа": "F", "соль": "G", "ля": "A", "си": "B",
}

// germanic are the note names that differ from English ones in German and
// Polish (h is B, b is B flat) and, spelled with -is and -es, in Dutch too.
var germanic = map[string]string{
	"h": "B", "b": "Bb", "es": "Eb", "as": "Ab", "des": "Db", "ges": "Gb", "cis": "C#", "dis": "D#", "fis": "F#", "gis": "G#", "ais": "A#",
}

// accidentals follow a note name as a word or glued to it.
var accidentals = map[string]string{
	"#": "#", "♯": "#", "sharp": "#", "sostenido": "#", "sustenido": "#", "dièse": "#", "diesis": "#", "диез": "#", "kruis": "#", "올림": "#",
	"b": "b", "♭": "b", "flat": "b", "bemol": "b", "bémol": "b", "bemolle": "b", "бемоль": "b", "mol": "b",
}

// Pitch is a note name in English spelling (C, F#, Bb) from the name a page of
// that language writes, with or without an accidental after it: “La”, “Si
// bemol”, “Es”, “G#”. In German and Polish, H is B and B is B flat; in Dutch
// bes is B flat. A register (low, high) and anything else is not part of it.
func Pitch(name string, lang Lang) (string, bool) {
	word, rest, _ := strings.Cut(strings.ToLower(strings.TrimSpace(name)), " ")
	if sign, ok := accidentals[strings.TrimSpace(rest)]; ok {
		letter, ok := natural(word, lang)
		return letter + sign, ok && len(letter) == 1
	}
	if rest != "" {
		return "", false
	}
	if letter, ok := natural(word, lang); ok {
		return letter, true
	}
	return glued(word, lang)
}

// natural is a note name of one word.
func natural(word string, lang Lang) (string, bool) {
	if lang == Dutch && word == "bes" {
		return "Bb", true
	}
	dutchB := lang == Dutch && (word == "b" || word == "h")
	if letter, ok := germanic[word]; ok && !dutchB && (lang == German || lang == Polish || lang == Dutch) {
		return letter, true
	}
	if letter, ok := romance[word]; ok {
		return letter, true
	}
	if len(word) == 1 && word[0] >= 'a' && word[0] <= 'g' {
		return strings.ToUpper(word), true
	}
	return "", false
}

// glued is a note name with its accidental glued to it, such as c# or sib.
func glued(word string, lang Lang) (string, bool) {
	for _, mark := range []string{"#", "♯", "b", "♭"} {
		name, found := strings.CutSuffix(word, mark)
		if !found {
			continue
		}
		if letter, ok := natural(name, lang); ok && len(letter) == 1 {
			return letter + accidentals[mark], true
		}
	}
	return "", false
}
