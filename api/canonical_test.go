package api

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// ref: RFC 8785, appendix B, but for the numbers it makes errors of.
func TestNumbersOfRFC8785(t *testing.T) {
	for bits, want := range map[uint64]string{
		0x0000000000000000: "0",
		0x8000000000000000: "0",
		0x0000000000000001: "5e-324",
		0x8000000000000001: "-5e-324",
		0x7fefffffffffffff: "1.7976931348623157e+308",
		0xffefffffffffffff: "-1.7976931348623157e+308",
		0x4340000000000000: "9007199254740992",
		0xc340000000000000: "-9007199254740992",
		0x4430000000000000: "295147905179352830000",
		0x44b52d02c7e14af5: "9.999999999999997e+22",
		0x44b52d02c7e14af6: "1e+23",
		0x44b52d02c7e14af7: "1.0000000000000001e+23",
		0x444b1ae4d6e2ef4e: "999999999999999700000",
		0x444b1ae4d6e2ef4f: "999999999999999900000",
		0x444b1ae4d6e2ef50: "1e+21",
		0x3eb0c6f7a0b5ed8c: "9.999999999999997e-7",
		0x3eb0c6f7a0b5ed8d: "0.000001",
		0x41b3de4355555553: "333333333.3333332",
		0x41b3de4355555554: "333333333.33333325",
		0x41b3de4355555555: "333333333.3333333",
		0x41b3de4355555556: "333333333.3333334",
		0x41b3de4355555557: "333333333.33333343",
		0xbecbf647612f3696: "-0.0000033333333333333333",
		0x43143ff3c1cb0959: "1424953923781206.2",
	} {
		require.Equal(t, want, decimal(math.Float64frombits(bits)), "%016x", bits)
	}
}

// ref: RFC 8785, section 3.2.2, the string of the example.
func TestStringOfRFC8785(t *testing.T) {
	require.Equal(t, `"€$\u000f\nA'B\"\\\\\"/"`, canonicalString("\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"/"))
	require.Equal(t, "\"\\b\\t\\f\\r\u007f\u2028<\"", canonicalString("\b\t\f\r\u007f\u2028<"))
}

func TestCanonicalIsSortedAndSparing(t *testing.T) {
	r, err := FromQuery("to_convention=letters&to=L3&tempo=90&tab=4+5&room=0.15&harp=cs&click=true&from=2.5")
	require.NoError(t, err)
	require.Equal(t, `{"click":true,"from":2.5,"harp":"Db","tab":"4 5","tempo":90,"to":"L3","to_convention":"letters"}`, r.Canonical())
}
