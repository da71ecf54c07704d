package chord

import "strings"

// Spelling is a symbol taken apart: the names of its root and of the bass after
// the slash, in ASCII ("F#", "Bb"), and what stands between as written. bass is
// empty where there is none, all three for silence.
func (c Chord) Spelling() (root, quality, bass string) {
	if c.Silent {
		return "", "", ""
	}
	_, quality, _ = readRoot(c.Symbol)
	root = strings.TrimSuffix(c.Symbol, quality)
	if rest, _, ok := readBass(quality, c.Root); ok && rest != quality {
		quality, bass = rest, quality[len(rest)+1:]
	}
	ascii := strings.NewReplacer("♯", "#", "♭", "b")
	return ascii.Replace(root), quality, ascii.Replace(bass)
}
