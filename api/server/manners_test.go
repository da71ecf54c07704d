package server

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestScoreHolds(t *testing.T) {
	c := call{target: "/v1/score?tab=4+-4+5&tempo=120"}
	require.NoError(t, allows(t, c))
	require.Equal(t, http.StatusOK, ask(t, c).StatusCode)
}
