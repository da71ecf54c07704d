package server

import (
	"bytes"
	"errors"
	"fmt"
	"net/http"
	"net/url"

	"github.com/labstack/echo/v4"

	"reedlark/api"
	"reedlark/api/web"
	"reedlark/openapi"
)

// notePage shows where a written note lies on the twelve harps.
func (s *service) notePage(c echo.Context) error {
	name, err := url.PathUnescape(c.Param("note"))
	if err != nil {
		return echo.ErrNotFound
	}
	view, status := web.NoteView{}, http.StatusOK
	found, err := api.WhereNote(api.Defaults(), name)
	var call *api.CallError
	switch {
	case errors.As(err, &call):
		view.Wrong, status = sentence(call.Error()+": write "+call.Allowed), http.StatusNotFound
	case err != nil:
		return err
	default:
		view = noteView(found)
	}
	var out bytes.Buffer
	err = web.Note(&out, view)
	return s.html(c, status, web.PagePolicy, &out, err)
}

func noteView(n openapi.WhereNote) web.NoteView {
	v := web.NoteView{
		Note: n.Note, Hz: fmt.Sprintf("%.2f", n.Hz),
		Lower: api.NoteBeside(n.Midi, -1), Upper: api.NoteBeside(n.Midi, 1),
	}
	for _, h := range n.Harps {
		row := web.HarpPlaces{Key: h.Key}
		for _, p := range h.Places {
			row.Places = append(row.Places, web.Place{Tab: p.Tab, How: how(p)})
		}
		v.Harps = append(v.Harps, row)
	}
	return v
}

// how describes a place: "3 draw, bent by 2".
func how(p openapi.Place) string {
	text := fmt.Sprintf("%d %s", p.Hole, p.Breath)
	switch p.Technique {
	case openapi.PlaceTechniqueBend:
		text += fmt.Sprintf(", bent by %d", p.Semitones)
	case openapi.PlaceTechniqueOver:
		text = fmt.Sprintf("%d over%s", p.Hole, p.Breath)
	}
	if p.Rare {
		text += ", played by few"
	}
	return text
}
