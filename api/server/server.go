package server

import (
	"net/http"
	"sync/atomic"

	"github.com/labstack/echo/v4"
)

// service is the state of one server: nothing about any caller.
type service struct {
	cfg     Config
	players chan struct{} // a token for each sound that may be rendered at once
	closing atomic.Bool
}

func newServer(cfg Config) *service {
	return &service{cfg: cfg, players: make(chan struct{}, cfg.Renders)}
}

func (s *service) handler() http.Handler { return echo.New() }
