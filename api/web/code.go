package web

import (
	"cmp"
	"fmt"
	"html"
)

// The size of an embedded player unless somebody asks for less, in CSS pixels.
const (
	FrameWidth  = 640
	FrameHeight = 400
)

// Untitled names a tune that has no title.
const Untitled = "Harmonica tab"

// FrameCode is the HTML that puts the player on another site. Every such code
// that is handed out comes from here. It is markup: a page that shows it as
// text has to escape it once more.
func FrameCode(origin, link, title, width string, height int) string {
	return fmt.Sprintf(`<iframe src="%s" width="%s" height="%d" `+
		`sandbox="allow-scripts allow-popups allow-downloads" loading="lazy" title="%s"></iframe>`,
		html.EscapeString(origin+"/embed?z="+link), html.EscapeString(width), height, html.EscapeString(cmp.Or(title, Untitled)))
}

// FrameScript is the line of HTML that makes every player of a page as high as
// its tab. It needs no address of ours and does nothing for other frames.
const FrameScript = `<script>addEventListener("message", (e) => { for (const f of document.querySelectorAll("iframe")) ` +
	`if (e.source === f.contentWindow && e.data?.reedlark === "height") f.height = e.data.height; });</script>`

// SoundCode is the HTML that puts the sound at an address on another site.
func SoundCode(address string) string {
	return fmt.Sprintf(`<audio controls preload="none" src="%s"></audio>`, html.EscapeString(address))
}

// Codes are the embed codes of a tab.
type Codes struct {
	Frame string `json:"frame"`
	Sound string `json:"sound"` // empty where addresses of sounds have to be signed
}

// Codes are the embed codes of what the view shows; empty where it cannot be
// embedded.
func (v View) Codes() Codes {
	if !v.Playable || v.Link == "" {
		return Codes{}
	}
	codes := Codes{Frame: FrameCode(v.Origin, v.Link, v.Title, "100%", FrameHeight)}
	if !v.Signed {
		codes.Sound = SoundCode(v.Origin + "/v1/audio?z=" + v.Link)
	}
	return codes
}
