package main

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/synth/reed/spectrum"
	"reedlark/synth/reed/spectrum/recorded"
)

const testdata = "../testdata"

func notes(t *testing.T) []recorded.Note {
	t.Helper()
	n, err := recorded.Open(testdata + "/recorded.txt")
	require.NoError(t, err)
	return n
}

func TestFitYieldsTheModelInUse(t *testing.T) {
	m, err := shapes()[0].fit(notes(t))
	require.NoError(t, err)
	used := spectrum.Fitted()
	require.InEpsilon(t, m.Even, used.Even, 0.02)
	require.InEpsilon(t, m.RollOff, used.RollOff, 0.02)
	require.InEpsilon(t, m.Cavity, used.Cavity, 0.02)
	require.InDelta(t, mean(distances(m, notes(t))), mean(distances(used, notes(t))), 0.01)
}

// A fit to notes the model made itself must find the model again.
func TestFitFindsAModelAgain(t *testing.T) {
	made := notes(t)
	want := spectrum.Model{Even: 6, RollOff: 6500, Cavity: 9}
	for i := range made {
		made[i].Levels = want.Levels(made[i].Hz, 12, spectrum.Colour{})[1:]
	}
	m, err := shapes()[0].fit(made)
	require.NoError(t, err)
	require.Less(t, mean(distances(m, made)), 0.05)
	require.InEpsilon(t, want.RollOff, m.RollOff, 0.01)
	require.InEpsilon(t, want.Even, m.Even, 0.01)
	require.InEpsilon(t, want.Cavity, m.Cavity, 0.01)
}

// A note that is left out must not pull the fit to itself: where all others
// agree on a model, the odd one is as far from that model as it is.
func TestLeaveOutLeavesOut(t *testing.T) {
	made := notes(t)
	common, odd := spectrum.Model{Even: 6, RollOff: 6500, Cavity: 9}, spectrum.Model{Even: 14, RollOff: 9000, Cavity: 1}
	for i := range made {
		made[i].Levels = common.Levels(made[i].Hz, 12, spectrum.Colour{})[1:]
	}
	made[2].Levels = odd.Levels(made[2].Hz, 12, spectrum.Colour{})[1:]
	d, err := shapes()[0].leaveOut(made, func(a, b recorded.Note) bool { return a.Name == b.Name })
	require.NoError(t, err)
	require.InDelta(t, distance(common, made[2]), d[2], 0.02)
	require.Greater(t, d[2], 1.0)
}

// Each number must pay for itself on the fitted notes; the cavity, which pays
// least there, also on recordings left out and on another player's notes.
func TestEveryNumberPays(t *testing.T) {
	unseen, err := recorded.Open(testdata + "/unseen.txt")
	require.NoError(t, err)
	sameRecording := func(a, b recorded.Note) bool { return a.Recording == b.Recording }
	full := spectrum.Fitted()
	foretold, err := shapes()[0].leaveOut(notes(t), sameRecording)
	require.NoError(t, err)
	for _, s := range shapes()[1:] {
		m, err := s.fit(notes(t))
		require.NoError(t, err)
		require.Greater(t, mean(distances(m, notes(t))), mean(distances(full, notes(t)))+0.15, s.name)
		worse, err := s.leaveOut(notes(t), sameRecording)
		require.NoError(t, err)
		require.Greater(t, mean(worse), mean(foretold)+0.1, s.name)
		if s.name == "no cavity" {
			require.Greater(t, mean(distances(m, unseen)), mean(distances(full, unseen))+0.5)
		}
	}
}

func TestReport(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, run(&out, testdata))
	for _, want := range []string{"three numbers: even 9.2", "left out, by note", "left out, by recording", "never used", "the synthesizer's:"} {
		require.Contains(t, out.String(), want)
	}
	require.Error(t, run(&out, "nowhere"))
}
