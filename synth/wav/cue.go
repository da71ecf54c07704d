package wav

import (
	"cmp"
	"encoding/binary"
	"slices"
)

// Cue is a named place in a sound.
type Cue struct {
	Frame int64 // from 0
	Label string
}

// Cues is the chunks that name places in a file. They stand after the samples,
// where whoever only plays the file never comes to them:
//
//	"cue " size count, for each: number frame "data" 0 0 frame
//	"LIST" size "adtl", for each: "labl" size number label 0
//
// The labels are UTF-8. No places need no chunks. What is returned has an even
// number of bytes, as RIFF asks; see [HeaderBefore].
// ref: IBM and Microsoft, Multimedia Programming Interface and Data
// Specifications 1.0, August 1991, "Cue-Points Chunk" and "Associated Data Chunk".
func Cues(cues []Cue) []byte {
	if len(cues) == 0 {
		return nil
	}
	cues = slices.Clone(cues)
	slices.SortStableFunc(cues, func(a, b Cue) int { return cmp.Compare(a.Frame, b.Frame) })
	le := binary.LittleEndian
	points := le.AppendUint32(nil, uint32(len(cues)))
	labels := []byte("adtl")
	for i, c := range cues {
		number := uint32(i + 1)
		points = le.AppendUint32(points, number)
		points = le.AppendUint32(points, uint32(c.Frame))
		points = append(points, "data\x00\x00\x00\x00\x00\x00\x00\x00"...)
		points = le.AppendUint32(points, uint32(c.Frame))
		labels = appendChunk(labels, "labl", append(le.AppendUint32(nil, number), c.Label+"\x00"...))
	}
	return appendChunk(appendChunk(nil, "cue ", points), "LIST", labels)
}

// appendChunk adds a chunk, and a byte where its body is odd.
func appendChunk(dst []byte, id string, body []byte) []byte {
	dst = binary.LittleEndian.AppendUint32(append(dst, id...), uint32(len(body)))
	dst = append(dst, body...)
	if len(body)%2 != 0 {
		dst = append(dst, 0)
	}
	return dst
}
