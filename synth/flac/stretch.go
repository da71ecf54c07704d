package flac

import (
	"bytes"
	"crypto/md5"
	"fmt"
	"hash"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/meta"

	"reedlark/synth/wav"
)

// StretchFrames is the length of a stretch in frames.
const StretchFrames = 8 * blockSize

// Stretch is some blocks of a file, coded by themselves: what a file that is not
// made whole is put together from. The blocks of FLAC depend on their number and
// on nothing before them.
type Stretch struct {
	Bytes []byte
	info  meta.StreamInfo // of these blocks
	raw   []byte          // the samples
}

// Code codes the stretch of a number, from 0, of which samples hands over all, as
// to Encode. All but the last of a file have StretchFrames frames.
func Code(f wav.Format, number int, samples func(take func([]int32) error) error) (Stretch, error) {
	e, err := newEncoder(f)
	if err != nil {
		return Stretch{}, err
	}
	var raw bytes.Buffer
	e.raw = &raw
	e.first = number * StretchFrames / blockSize
	e.out.Reset() // of the head
	if err := samples(e.take); err != nil {
		return Stretch{}, err
	}
	if err := e.block(); err != nil {
		return Stretch{}, err
	}
	return Stretch{e.out.Bytes(), e.info, raw.Bytes()}, nil
}

// Survey is what has to be known of all stretches of a file before its first byte
// can be sent.
type Survey struct {
	info meta.StreamInfo
	sum  hash.Hash
	ends []int64 // of each stretch, from the head's end on
}

// NewSurvey begins a survey of a file.
func NewSurvey(f wav.Format) (*Survey, error) {
	e, err := newEncoder(f)
	if err != nil {
		return nil, err
	}
	return &Survey{info: e.info, sum: md5.New()}, nil
}

// Add takes the next stretch into account.
func (s *Survey) Add(st Stretch) {
	s.sum.Write(st.raw)
	s.info.NSamples += st.info.NSamples
	if s.info.FrameSizeMin == 0 || st.info.FrameSizeMin > 0 && st.info.FrameSizeMin < s.info.FrameSizeMin {
		s.info.FrameSizeMin = st.info.FrameSizeMin
	}
	s.info.FrameSizeMax = max(s.info.FrameSizeMax, st.info.FrameSizeMax)
	end := int64(len(st.Bytes))
	if n := len(s.ends); n > 0 {
		end += s.ends[n-1]
	}
	s.ends = append(s.ends, end)
}

// Done is the head of the file, once all stretches were added, and where in the
// file each of them ends.
func (s *Survey) Done() (head []byte, ends []int64, err error) {
	copy(s.info.MD5sum[:], s.sum.Sum(nil))
	var out bytes.Buffer
	if _, err := flac.NewEncoder(&out, &s.info); err != nil {
		return nil, nil, fmt.Errorf("flac: %w", err)
	}
	for _, end := range s.ends {
		ends = append(ends, int64(out.Len())+end)
	}
	return out.Bytes(), ends, nil
}
