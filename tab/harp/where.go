package harp

// Found is where a note lies on one harp, nowhere if Places is empty.
type Found struct {
	Harp   Harp
	Places []Place
}

// Where looks for a MIDI note on the twelve harps of a layout in their usual
// registers, from C up. It fails where [New] does.
func Where(midi int, layout Layout, tuning Tuning, a4 float64) ([]Found, error) {
	var all []Found
	for _, key := range Keys() {
		h, err := New(key, layout, tuning, a4)
		if err != nil {
			return nil, err
		}
		all = append(all, Found{h, h.Find(midi)})
	}
	return all, nil
}

// Hz is the equal-tempered pitch of a MIDI note, given that of A4.
// ref: MIDI Tuning Standard.
func Hz(midi int, a4 float64) float64 { return equalHz(midi, a4) }
