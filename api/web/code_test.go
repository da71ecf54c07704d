package web_test

import (
	"encoding/json"
	"html"
	"net/http"
	"net/url"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api/server"
	"reedlark/api/web"
)

// hostile are titles that mean to be more than a title wherever one is pasted.
var hostile = []string{
	`x"></iframe><script>hurt()</script>`, `x"></textarea><script>hurt()</script>`, `</title><script>hurt()</script>`,
	`"><img src=x onerror=hurt()>`, `'><img src=x onerror=hurt()>`, `" onload="hurt()`, `' onload='hurt()`,
	`x" srcdoc="<script>parent.hurt()</script>`, `x" src="javascript:parent.hurt()`, `x" sandbox="allow-same-origin`,
	`&quot;><script>hurt()</script>`, `&#34;><script>hurt()</script>`, `&#x22; onload=&#x22;hurt()`, `&lt;script>hurt()&lt;/script>`,
	`&amp;quot;&gt;<script>hurt()</script>`, `x&quot onload=hurt() y=&quot`, `<!--`, `--><script>hurt()</script>`, `<![CDATA[<script>hurt()</script>]]>`,
	`<svg onload=hurt()>`, `<svg/onload=hurt()//`, `</iframe><svg><script>hurt()</script>`, `<math><mtext></iframe><img src onerror=hurt()>`,
	`<base href="//example.invalid/">`, `<meta http-equiv=refresh content="0;url=data:text/html,x">`, `<form><button formaction=javascript:hurt()>`,
	"`onload=hurt() x=`", `x onload=hurt()`, `\" onload=\"hurt()`, `\x22\x3e\x3cscript\x3ehurt()`, `\u003cscript\u003ehurt()\u003c/script\u003e`,
	`{{.Origin}}`, `${hurt()}`, `<%= hurt() %>`, `%22%3E%3Cscript%3Ehurt()%3C/script%3E`, `＂＞＜script＞hurt()＜/script＞`,
	`</textarea></iframe></script></style></title><script>hurt()</script>`, `&lt;/textarea&gt;&lt;script&gt;hurt()`, `"'><&amp;&`, `a "good" <tune> & 'more'`,
}

var inTextArea = regexp.MustCompile(`(?s)<textarea id="frame-code"[^>]*>(.*?)</textarea>`)

// The code on the page is text in a text box: read as HTML once, it is the very
// code that oEmbed hands out for the same tab.
func TestOneEmbedCodeForAll(t *testing.T) {
	require.GreaterOrEqual(t, len(hostile), 40)
	for _, title := range hostile {
		page := get(t, address("http://example.com/", "tab", "Title: "+title+"\n4 -4\n"))
		require.Equal(t, http.StatusOK, page.status, title)
		shown := inTextArea.FindStringSubmatch(page.text)
		require.NotNil(t, shown, title)
		var answer struct{ HTML, Title string }
		oembed := get(t, address("http://example.com/oembed", "url", address("http://example.com/", "tab", "Title: "+title+"\n4 -4\n")))
		require.NoError(t, json.Unmarshal([]byte(oembed.text), &answer))
		assert.Equal(t, strings.Replace(answer.HTML, `width="640"`, `width="100%"`, 1), html.UnescapeString(shown[1]), title)
		assert.Equal(t, 2, strings.Count(answer.HTML, "<"), "%s: one element and its end, no other", answer.HTML)
		var codes web.Codes
		got := get(t, address("http://example.com/codes", "tab", "Title: "+title+"\n4 -4\n"))
		require.NoError(t, json.Unmarshal([]byte(got.text), &codes))
		assert.Equal(t, html.UnescapeString(shown[1]), codes.Frame, title)
	}
}

func TestCodesOfWhatCannotBeEmbedded(t *testing.T) {
	signed := server.Config{Keys: []server.Key{{ID: "a", Secret: make([]byte, 16)}}}
	var codes web.Codes
	require.NoError(t, json.Unmarshal([]byte(getFrom(t, signed, "/codes?tab=4").text), &codes))
	assert.Contains(t, codes.Frame, "<iframe ")
	assert.Empty(t, codes.Sound, "an address without its signature plays nothing")
	assert.Equal(t, http.StatusBadRequest, get(t, "/codes?z=nonsense").status)
}

// The README shows what the program hands out.
func TestReadmeHandsOutTheSameCode(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	found := regexp.MustCompile(`<audio [^>]*src="([^"]*)"[^>]*></audio>`).FindAllStringSubmatch(string(readme), -1)
	require.NotEmpty(t, found)
	for _, f := range found {
		assert.Equal(t, web.SoundCode(html.UnescapeString(f[1])), f[0])
	}
}

// Pages that people share are opened with what other sites add to addresses; the
// interface refuses what it does not know.
func TestPagesIgnoreWhatTheyDoNotKnow(t *testing.T) {
	page := get(t, address("/", "tab", "Title: Shared\n4 -4"))
	z := regexp.MustCompile(`/v1/audio\?z=([A-Za-z0-9_-]+)`).FindStringSubmatch(page.text)
	require.NotNil(t, z)
	for _, path := range []string{
		"/?z=" + z[1] + "&utm_source=x", "/embed?z=" + z[1] + "&fbclid=y", "/?fbclid=%zz&z=" + z[1], "/?a;b=c&z=" + z[1],
		address("/", "tab", "Title: Shared\n4 -4", "utm_campaign", "a b"), address("/embed", "tab", "Title: Shared\n4 -4", "gclid", ""),
	} {
		got := get(t, path)
		assert.Equal(t, http.StatusOK, got.status, path)
		assert.Contains(t, got.text, ">Shared</h1>", path)
		assert.Contains(t, got.text, "<audio ", path)
	}
	shared := "http://example.com/?z=" + z[1] + "&utm_source=x"
	assert.Equal(t, http.StatusOK, get(t, "http://example.com/oembed?url="+url.QueryEscape(shared)).status)
	for _, resource := range []string{"audio", "score", "picture", "tab"} {
		assert.Equal(t, http.StatusBadRequest, get(t, "/v1/"+resource+"?z="+z[1]+"&utm_source=x").status, resource)
		assert.Equal(t, http.StatusBadRequest, get(t, "/v1/"+resource+"?tab=4&utm_source=x").status, resource)
	}
}
