//go:build js

package main

import (
	"context"
	"syscall/js"

	"reedlark/api"
)

// main offers the engine to the worker as reedlarkEngine and waits for calls.
// Every call returns at once; the worker decides when to make the next.
//
//	version                    the engine's version
//	ask(resource, body|null)   {status, type, body}
//	open(body)                 {status, type, body} of a refusal, or {id, size}
//	read(id, offset, n)        n bytes of an opened sound's WAV file
//	close(id)                  forgets it
func main() {
	b := &bridge{engine: newEngine(), sounds: map[int]*api.Sound{}}
	js.Global().Set("reedlarkEngine", js.ValueOf(map[string]any{
		"version": api.EngineVersion(),
		"ask":     js.FuncOf(b.ask),
		"open":    js.FuncOf(b.open),
		"read":    js.FuncOf(b.read),
		"close":   js.FuncOf(b.close),
	}))
	select {}
}

// bridge turns JavaScript values into calls of the engine and back.
type bridge struct {
	*engine
	sounds map[int]*api.Sound
	last   int // number of the latest sound opened
}

func (b *bridge) ask(_ js.Value, args []js.Value) any {
	return object(b.engine.ask(context.Background(), args[0].String(), bytesOf(args[1])))
}

func (b *bridge) open(_ js.Value, args []js.Value) any {
	sound, err := b.sound(context.Background(), bytesOf(args[0]))
	if err != nil {
		return object(refusal(err))
	}
	b.last++
	b.sounds[b.last] = sound
	return map[string]any{"id": b.last, "size": sound.Size()}
}

func (b *bridge) read(_ js.Value, args []js.Value) any {
	sound, ok := b.sounds[args[0].Int()]
	if !ok {
		return js.Null()
	}
	bytes, err := part(context.Background(), sound, int64(args[1].Int()), int64(args[2].Int()))
	if err != nil {
		return js.Null()
	}
	return array(bytes)
}

func (b *bridge) close(_ js.Value, args []js.Value) any {
	delete(b.sounds, args[0].Int())
	return nil
}

// object is a reply as JavaScript has it.
func object(r reply) map[string]any {
	return map[string]any{"status": r.status, "type": r.media, "body": array(r.body)}
}

func array(b []byte) js.Value {
	out := js.Global().Get("Uint8Array").New(len(b))
	js.CopyBytesToJS(out, b)
	return out
}

// bytesOf is a JSON text as bytes; null is none.
func bytesOf(v js.Value) []byte {
	if v.IsNull() || v.IsUndefined() {
		return nil
	}
	return []byte(v.String())
}
