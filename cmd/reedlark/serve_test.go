package main

import (
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// serveFlags are the flags of serve as its help shows them, with the variable of
// each. Whoever adds one adds it here.
var serveFlags = map[string]string{
	"listen": "REEDLARK_LISTEN", "metrics": "REEDLARK_METRICS", "public-url": "REEDLARK_PUBLIC_URL",
	"slots": "REEDLARK_SLOTS", "line": "REEDLARK_LINE", "wait": "REEDLARK_WAIT",
	"quota-rate": "REEDLARK_QUOTA_RATE", "quota-burst": "REEDLARK_QUOTA_BURST", "proxy": "REEDLARK_PROXY",
	"cache": "REEDLARK_CACHE", "write-rate": "REEDLARK_WRITE_RATE", "keys": "REEDLARK_KEYS",
	"drain": "REEDLARK_DRAIN", "grace": "REEDLARK_GRACE",
	"max-tab": "REEDLARK_MAX_TAB", "max-notes": "REEDLARK_MAX_NOTES", "max-duration": "REEDLARK_MAX_DURATION",
	"max-depth": "REEDLARK_MAX_DEPTH", "max-repeat": "REEDLARK_MAX_REPEAT", "max-beats": "REEDLARK_MAX_BEATS", "max-title": "REEDLARK_MAX_TITLE",
	"log-json": "REEDLARK_LOG_JSON", "log-level": "REEDLARK_LOG_LEVEL",
	"traces": "REEDLARK_TRACES,OTEL_EXPORTER_OTLP_ENDPOINT", "traces-headers": "REEDLARK_TRACES_HEADERS,OTEL_EXPORTER_OTLP_HEADERS",
}

func TestEveryFlagHasItsVariable(t *testing.T) {
	help := strings.Join(strings.Fields(call(t, "", "serve", "--help").out), " ")
	fields := reflect.VisibleFields(reflect.TypeFor[serving]())
	require.Len(t, fields, len(serveFlags))
	for flag, variables := range serveFlags {
		assert.Contains(t, help, "--"+flag)
		own, _, _ := strings.Cut(variables, ",")
		assert.Equal(t, "REEDLARK_"+strings.ToUpper(strings.ReplaceAll(flag, "-", "_")), own)
		for variable := range strings.SplitSeq(variables, ",") {
			assert.Contains(t, help, "$"+variable)
		}
	}
}

// A number has both of its bounds, in its tags and in its help.
func TestEveryNumberHasBounds(t *testing.T) {
	for _, f := range reflect.VisibleFields(reflect.TypeFor[serving]()) {
		if k := f.Type.Kind(); k != reflect.Int && k != reflect.Int64 && k != reflect.Float64 {
			continue
		}
		least, most := f.Tag.Get("least"), f.Tag.Get("most")
		assert.NotEmpty(t, least, f.Name)
		assert.NotEmpty(t, most, f.Name)
		assert.Contains(t, f.Tag.Get("help"), least+" to "+most, f.Name)
	}
}

// What may not be refuses to start, by flag and by variable alike, and says
// what may.
func TestBadValuesRefuseToStart(t *testing.T) {
	for _, c := range []struct{ flag, value, says string }{
		{"listen", "8080", "host:port"},
		{"metrics", "9090", "host:port"},
		{"public-url", "ftp://tab.example", "https://tab.example"},
		{"slots", "many", "0 to 1024"},
		{"slots", "1025", "0 to 1024"},
		{"slots", "", "0 to 1024"},
		{"line", "0", "1 to 64"},
		{"wait", "2s", "1ms to 1s"},
		{"wait", "1", "1ms to 1s"},
		{"quota-rate", "NaN", "0 to 1000000"},
		{"quota-burst", "-1", "0 to 1000000000"},
		{"proxy", "10.0.0.0", "10.0.0.0/8"},
		{"cache", "1e3", "0 to 68719476736"},
		{"write-rate", "1", "16 to 1048576"},
		{"keys", "first", "base64"},
		{"drain", "11m", "0s to 10m"},
		{"grace", "0s", "1ms to 1h"},
		{"max-tab", "65537", "1 to 65536"},
		{"max-notes", "0", "1 to 20000"},
		{"max-duration", "16m", "1s to 15m"},
		{"max-depth", "5", "1 to 4"},
		{"max-repeat", "17", "1 to 16"},
		{"max-beats", "257", "1 to 256"},
		{"max-title", "201", "1 to 200"},
		{"log-json", "perhaps", "perhaps"},
		{"log-level", "loud", "debug"},
		{"traces", "localhost:4318", "http://localhost:4318"},
		{"traces-headers", "a b=c", "name=value"},
	} {
		t.Run(c.flag+"="+c.value, func(t *testing.T) {
			base := []string{"serve", "--listen=127.0.0.1:0", "--traces=http://127.0.0.1:1"}
			check := func(got result) {
				assert.Equal(t, 2, got.code, got.err)
				assert.Contains(t, got.err, c.flag)
				assert.Contains(t, got.err, c.says)
			}
			check(call(t, "", append(base, "--"+c.flag+"="+c.value)...))
			base = slices.DeleteFunc(base, func(arg string) bool { return strings.HasPrefix(arg, "--"+c.flag+"=") })
			t.Setenv("REEDLARK_"+strings.ToUpper(strings.ReplaceAll(c.flag, "-", "_")), c.value)
			check(call(t, "", base...))
		})
	}
}

// A variable of serve is of no concern to the other commands.
func TestVariablesAreServesAlone(t *testing.T) {
	t.Setenv("REEDLARK_SLOTS", "many")
	assert.Zero(t, call(t, "", "harp", "C").code)
}

// What is shipped to run it somewhere speaks of variables that there are.
func TestShippedVariables(t *testing.T) {
	known := strings.Split(strings.Join(slices.Collect(maps.Values(serveFlags)), ","), ",")
	variable := regexp.MustCompile(`\b(REEDLARK|OTEL)_[A-Z_]+`)
	for _, name := range []string{"Dockerfile", "README.md", "SECURITY.md", "cmd/reedlark/deploy/README.md", "cmd/reedlark/deploy/kubernetes.yaml", "cmd/reedlark/deploy/nginx.conf"} {
		text, err := os.ReadFile(filepath.Join(root, name))
		require.NoError(t, err)
		for _, v := range variable.FindAllString(string(text), -1) {
			assert.Contains(t, append(known, "OTEL_TRACES_SAMPLER", "OTEL_SERVICE_NAME", "OTEL_RESOURCE_ATTRIBUTES"), v, name)
		}
	}
}
