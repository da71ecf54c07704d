package web_test

import (
	"encoding/json"
	"encoding/xml"
	"fmt"
	"html"
	"image"
	"image/png"
	"io"
	"io/fs"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/api/server"
	"reedlark/api/web"
)

// fetched is an answer of the whole server with its text.
type fetched struct {
	status int
	header http.Header
	text   string
}

func get(t *testing.T, target string) fetched {
	t.Helper()
	return getFrom(t, server.Config{}, target)
}

func getFrom(t *testing.T, cfg server.Config, target string) fetched {
	t.Helper()
	cfg.Log = slog.New(slog.DiscardHandler)
	h := server.Handler(cfg)
	rec := httptest.NewRecorder()
	h.ServeHTTP(rec, httptest.NewRequest(http.MethodGet, target, nil))
	text, err := io.ReadAll(rec.Result().Body)
	require.NoError(t, err)
	return fetched{rec.Code, rec.Result().Header, string(text)}
}

func address(path string, parameters ...string) string {
	q := url.Values{}
	for i := 0; i+1 < len(parameters); i += 2 {
		q.Set(parameters[i], parameters[i+1])
	}
	return path + "?" + q.Encode()
}

// The form has the settings that can be chosen from, each with the values and
// bounds of the table.
func TestFormHasTheSettings(t *testing.T) {
	got := get(t, "/").text
	elsewhere := []string{"tab", "to_convention", "from", "to", "repeat", "format", "cues", "unread", "rate", "depth", "channels"}
	for _, p := range api.Parameters() {
		if slices.Contains(elsewhere, p.Name) {
			continue
		}
		require.Contains(t, got, `name="`+p.Name+`"`, p.Name)
		for _, w := range slices.Concat(p.Words, p.Offered) {
			value := w.Value
			if value == p.Default {
				value = ""
			}
			assert.Contains(t, got, `<option value="`+value+`"`, p.Name)
			assert.Contains(t, html.UnescapeString(got), ">"+w.Label+"</option>", p.Name)
		}
		if p.Words == nil && p.Offered == nil {
			assert.Regexp(t, fmt.Sprintf(`name="%s"[^>]* min="%v" max="%v"`, p.Name, p.Min, p.Max), got)
		}
	}
	assert.NotContains(t, got, `name=""`)
}

// The tune the page starts with has nothing wrong with it, and has what it says.
func TestStartTune(t *testing.T) {
	r := api.Defaults()
	require.NoError(t, r.Set("tab", web.StartTune))
	piece, err := api.Open(t.Context(), r)
	require.NoError(t, err)
	said, err := piece.Diagnostics(t.Context())
	require.NoError(t, err)
	assert.Empty(t, said)
	score, err := piece.Score(t.Context())
	require.NoError(t, err)
	roles, techniques := map[string]bool{}, map[string]bool{}
	for _, n := range score.Notes {
		roles[string(n.Role)] = true
		for _, v := range n.Voices {
			techniques[string(v.Technique)] = true
		}
	}
	assert.Equal(t, map[string]bool{"melody": true, "slide": true, "filler": true}, roles)
	assert.True(t, techniques["bend"])
}

// Without scripts the page is a form, a sound and the text.
func TestPageWithoutScripts(t *testing.T) {
	got := get(t, address("/", "tab", "4 -4 {5 6}", "harp", "A", "tempo", "", "brackets", ""))
	require.Equal(t, http.StatusOK, got.status)
	assert.Contains(t, got.text, `<form id="form" method="get" action="/"`)
	assert.Regexp(t, `<audio controls preload="none" src="/v1/audio\?z=[A-Za-z0-9_-]+&amp;v=[0-9]+"></audio>`, got.text)
	assert.Contains(t, got.text, `<option value="A" selected>A</option>`)
	assert.Contains(t, got.text, `<span class="name">-4<i>B4</i></span>`)
	assert.Contains(t, got.text, "4 -4 {5 6}</textarea>")
}

func TestPageSaysWhatIsWrong(t *testing.T) {
	got := get(t, address("/", "tab", "4 44 <b>"))
	assert.Equal(t, http.StatusOK, got.status)
	assert.Contains(t, got.text, "line 1, column 3")
	assert.Contains(t, got.text, "4 44 &lt;b&gt;</textarea>")
	assert.Contains(t, got.text, "<audio", "the rest plays")
	got = get(t, address("/", "tab", "44 <b>"))
	assert.Equal(t, http.StatusOK, got.status)
	assert.NotContains(t, got.text, "<audio", "nothing is left to play")
	got = get(t, address("/", "tab", "4 -4", "tempo", "9000"))
	assert.Equal(t, http.StatusUnprocessableEntity, got.status)
	assert.Contains(t, got.text, "20 to 400")
	assert.Contains(t, got.text, "4 -4</textarea>", "the text is not lost")
	got = get(t, "/?z=nonsense")
	assert.Equal(t, http.StatusBadRequest, got.status)
	assert.Contains(t, got.text, "</html>")
}

// What is written by others is text, wherever it stands.
func TestNothingOfOthersIsMarkup(t *testing.T) {
	evil := `"><script>x</script><img src=x onerror=y>{{.}}'`
	for _, path := range []string{"/", "/embed"} {
		got := get(t, address(path, "tab", "Title: "+evil+"\n"+evil+"\n4 -4\n"))
		require.Equal(t, http.StatusOK, got.status)
		assert.NotContains(t, got.text, "<script>x")
		assert.NotContains(t, got.text, "<img src=x")
	}
	got := get(t, "/notes/"+url.PathEscape(evil))
	assert.Equal(t, http.StatusNotFound, got.status)
	assert.NotContains(t, got.text, "<script>x")
}

// The policies let nothing run that is not a file of ours, and the pages have
// nothing that would need more. ref: Content Security Policy Level 3.
func TestPolicies(t *testing.T) {
	for path, ancestors := range map[string]string{"/": "'none'", "/embed?tab=4": "*", "/notes/C5": "'none'"} {
		got := get(t, path)
		policy := got.header.Get("Content-Security-Policy")
		assert.Contains(t, policy, "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; worker-src 'self' blob:; style-src 'self';")
		assert.True(t, strings.HasSuffix(policy, "frame-ancestors "+ancestors), "%s: %s", path, policy)
		assert.Empty(t, got.header.Get("Set-Cookie"))
		assert.NotRegexp(t, `<script(?:>| [^>]*>[^<])`, got.text, "a script within %s", path)
		assert.NotRegexp(t, `(?i)<style| style=| on[a-z]+="`, got.text, path)
	}
	worker := get(t, "/assets/"+web.Worker) // it goes by its own policy: CSP Level 3, section 4.4
	assert.Equal(t, web.PagePolicy, worker.header.Get("Content-Security-Policy"))
	embed := get(t, "/embed?tab=4")
	assert.Equal(t, "require-corp", embed.header.Get("Cross-Origin-Embedder-Policy"))
	assert.Equal(t, "cross-origin", embed.header.Get("Cross-Origin-Resource-Policy"))
	assert.Empty(t, embed.header.Get("X-Frame-Options"))
}

// The player with all it loads before it is played is at most 30 kB.
func TestEmbedIsSmall(t *testing.T) {
	size := len(get(t, address("/embed", "tab", web.StartTune)).text)
	for _, name := range []string{"embed.js", "embed.css"} {
		size += len(get(t, "/assets/"+name).text)
	}
	assert.LessOrEqual(t, size, 30_000)
	t.Logf("%d bytes", size)
}

func TestAssets(t *testing.T) {
	for name, media := range map[string]string{"main.js": "text/javascript", "page.css": "text/css"} {
		got := get(t, "/assets/"+name)
		assert.Equal(t, http.StatusOK, got.status)
		assert.Contains(t, got.header.Get("Content-Type"), media)
		assert.NotEmpty(t, got.header.Get("ETag"))
		assert.Equal(t, "*", got.header.Get("Access-Control-Allow-Origin"), "for modules in a sandbox")
	}
	for _, name := range []string{"none.js", "..%2Fweb.go", "%2e%2e%2fweb.go", ".", ""} {
		assert.Equal(t, http.StatusNotFound, get(t, "/assets/"+name).status, name)
	}
}

// Modules stay small, ask nobody but our own server, and keep tabs in one place.
func TestModules(t *testing.T) {
	files, err := fs.Glob(web.Assets(), "*")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, name := range files {
		text, err := fs.ReadFile(web.Assets(), name)
		require.NoError(t, err)
		assert.LessOrEqual(t, strings.Count(string(text), "\n"), 300, name)
		words := strings.ReplaceAll(string(text), "http://www.w3.org/2000/svg", "") // a name, which nobody fetches
		assert.NotContains(t, words, "http://", name)
		assert.NotContains(t, string(text), "https://", name)
		if name != "tabs.js" {
			assert.NotContains(t, string(text), "indexedDB", name)
		}
		for _, keeps := range []string{"localStorage", "sessionStorage", "document.cookie", "innerHTML", "eval("} {
			assert.NotContains(t, string(text), keeps, name)
		}
	}
}

// ref: oEmbed 1.0, sections 2.3.1 to 2.3.4.
func TestOembed(t *testing.T) {
	ours := address("http://example.com/", "tab", "Title: A & B\n4 -4\n")
	type answer struct {
		Type    string `json:"type" xml:"type"`
		Version string `json:"version" xml:"version"`
		Title   string `json:"title" xml:"title"`
		HTML    string `json:"html" xml:"html"`
		Width   int    `json:"width" xml:"width"`
		Height  int    `json:"height" xml:"height"`
	}
	var asJSON, asXML answer
	got := get(t, address("http://example.com/oembed", "url", ours, "maxwidth", "400", "maxheight", "1000"))
	assert.Equal(t, "public, max-age=600, stale-while-revalidate=86400", got.header.Get("Cache-Control"))
	require.Equal(t, http.StatusOK, got.status)
	assert.Contains(t, got.header.Get("Content-Type"), "application/json")
	require.NoError(t, json.Unmarshal([]byte(got.text), &asJSON))
	got = get(t, address("http://example.com/oembed", "url", ours, "format", "xml", "maxwidth", "400"))
	require.Equal(t, http.StatusOK, got.status)
	assert.Contains(t, got.header.Get("Content-Type"), "text/xml")
	require.NoError(t, xml.Unmarshal([]byte(got.text), &asXML))
	assert.Equal(t, asJSON, asXML)
	assert.Equal(t, []any{"rich", "1.0", "A & B", 400, 400}, []any{asJSON.Type, asJSON.Version, asJSON.Title, asJSON.Width, asJSON.Height})
	assert.Contains(t, asJSON.HTML, `<iframe src="http://example.com/embed?z=`)
	for target, status := range map[string]int{
		address("http://example.com/oembed", "url", "http://elsewhere.example/?tab=4"):   404,
		address("http://example.com/oembed", "url", "javascript:alert(1)"):               404,
		address("http://example.com/oembed", "url", "http://example.com/v1/audio?tab=4"): 404,
		address("http://example.com/oembed", "url", "http://example.com/"):               404,
		address("http://example.com/oembed", "url", "http://example.com/?tab=44"):        404,
		address("http://example.com/oembed", "url", ours, "format", "yaml"):              501,
		address("http://example.com/oembed", "url", ours, "maxwidth", "wide"):            400,
		address("http://example.com/oembed"):                                             404,
	} {
		assert.Equal(t, status, get(t, target).status, target)
	}
}

// The picture of a link is a PNG of the size that the page names, with something
// in it. ref: PNG, third edition, section 11.2.1.
func TestCard(t *testing.T) {
	got := get(t, address("/picture.png", "tab", web.StartTune))
	require.Equal(t, http.StatusOK, got.status)
	assert.Equal(t, "image/png", got.header.Get("Content-Type"))
	assert.Less(t, len(got.text), 60_000)
	img, err := png.Decode(strings.NewReader(got.text))
	require.NoError(t, err)
	assert.Equal(t, image.Rect(0, 0, 1200, 630), img.Bounds())
	dark := 0
	for y := range 630 {
		for x := range 1200 {
			if r, _, _, _ := img.At(x, y).RGBA(); r < 0x4000 {
				dark++
			}
		}
	}
	assert.Greater(t, dark, 5000)
	assert.Equal(t, http.StatusUnprocessableEntity, get(t, address("/picture.png", "tab", "44")).status)
}

// The page names its own embedding, sound and picture. ref: oEmbed 1.0, section
// 4; the Open Graph protocol, structured properties.
func TestDiscovery(t *testing.T) {
	text := get(t, address("http://example.com/", "tab", "Title: T\n4")).text
	for _, want := range []string{
		`type="application/json+oembed"`, `type="text/xml+oembed"`, `property="og:audio" content="http://example.com/v1/audio?z=`,
		`property="og:audio:type" content="audio/wav"`, `property="og:image" content="http://example.com/picture.png?z=`, `property="og:image" content="http://example.com/v1/picture?z=`, `property="og:title" content="T"`,
	} {
		assert.Contains(t, text, want)
	}
}

// Behind a proxy the pages name the public address, and embed links to it.
func TestPublicAddress(t *testing.T) {
	cfg := server.Config{PublicURL: "https://tab.example/"}
	page := getFrom(t, cfg, address("http://10.0.0.7:8080/", "tab", "Title: T\n4")).text
	assert.Contains(t, page, `property="og:url" content="https://tab.example/?z=`)
	assert.Contains(t, page, `iframe src=&#34;https://tab.example/embed?z=`)
	assert.NotContains(t, page, "10.0.0.7")
	for _, ours := range []string{"https://tab.example", "http://10.0.0.7:8080"} {
		got := getFrom(t, cfg, address("http://10.0.0.7:8080/oembed", "url", address(ours+"/", "tab", "4")))
		require.Equal(t, http.StatusOK, got.status, ours)
		assert.Contains(t, got.text, "https://tab.example/embed?z=")
	}
	got := getFrom(t, cfg, address("http://10.0.0.7:8080/oembed", "url", "https://elsewhere.example/?tab=4"))
	assert.Equal(t, http.StatusNotFound, got.status)
}

func TestNotePage(t *testing.T) {
	got := get(t, "/notes/F%235")
	assert.Equal(t, http.StatusOK, got.status)
	assert.Contains(t, got.text, "F#5 on the twelve harps")
	assert.Contains(t, got.text, `<th scope="row">D</th><td><span class="place">5</span>`, "the third of a D harp is 2, 5 and 8 blow")
	found := get(t, "/notes?note=F%235")
	assert.Equal(t, http.StatusSeeOther, found.status)
	assert.Equal(t, "/notes/F%235", found.header.Get("Location"))
}
