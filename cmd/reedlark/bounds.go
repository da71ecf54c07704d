package main

import (
	"cmp"
	"errors"
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"time"

	"github.com/alecthomas/kong"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
)

// bounded reads a number or a length of time and refuses one that does not lie
// between the bounds in its flag's tags, least and most. A flag without bounds
// takes anything that can be read.
type bounded[T cmp.Ordered] func(text string) (T, error)

// withBounds makes the parser of flags read numbers so, times of day in our own
// words, and text byte for byte: its own way of reading that spoils the name of
// a file that is no UTF-8.
func withBounds() []kong.Option {
	return []kong.Option{
		kong.TypeMapper(reflect.TypeFor[int](), bounded[int](strconv.Atoi)),
		kong.TypeMapper(reflect.TypeFor[float64](), bounded[float64](func(text string) (float64, error) { return strconv.ParseFloat(text, 64) })),
		kong.TypeMapper(reflect.TypeFor[time.Duration](), bounded[time.Duration](time.ParseDuration)),
		kong.TypeMapper(reflect.TypeFor[fixes](), fixMapper{}),
		kong.TypeMapper(reflect.TypeFor[time.Time](), kong.MapperFunc(readTime)),
		kong.KindMapper(reflect.String, kong.MapperFunc(readText)),
	}
}

// valueOf is what follows a flag. That there may be nothing must be asked: where
// values may begin with a hyphen, the parser takes the end of the line for one.
func valueOf(ctx *kong.DecodeContext) (string, error) {
	token, err := ctx.Scan.PopValue(ctx.Value.Name)
	if err == nil && token.IsEOL() {
		err = errors.New("missing value")
	}
	return fmt.Sprint(token.Value), err
}

func readText(ctx *kong.DecodeContext, target reflect.Value) error {
	text, err := valueOf(ctx)
	if err == nil {
		target.SetString(text)
	}
	return err
}

func readTime(ctx *kong.DecodeContext, target reflect.Value) error {
	text, err := valueOf(ctx)
	if err != nil {
		return err
	}
	at, err := time.Parse(time.RFC3339, text)
	if err != nil {
		return batch.Usagef("%s is %q, but it must be a time such as 2027-01-31T18:00:00Z", ctx.Value.Name, text)
	}
	target.Set(reflect.ValueOf(at))
	return nil
}

// Decode reads the value of one flag, as kong asks for.
func (read bounded[T]) Decode(ctx *kong.DecodeContext, target reflect.Value) error {
	text, err := valueOf(ctx)
	if err != nil {
		return err
	}
	value, err := read(text)
	if err != nil || !read.allows(value, ctx.Value.Tag) {
		return outside(ctx.Value, text)
	}
	target.Set(reflect.ValueOf(value))
	return nil
}

// allows says whether a value is within the bounds; a flag without any has none
// to keep.
func (read bounded[T]) allows(value T, tag *kong.Tag) bool {
	least, err := read(tag.Get("least"))
	most, alsoErr := read(tag.Get("most"))
	return err != nil || alsoErr != nil || value >= least && value <= most
}

// outside refuses the value of a flag and names what it may be.
func outside(flag *kong.Value, text string) error {
	name, allowed := flag.Name, flag.Tag.Get("least")+" to "+flag.Tag.Get("most")
	if len(flag.Tag.Envs) > 0 {
		name += " (" + strings.Join(flag.Tag.Envs, ", ") + ")"
	}
	return &api.CallError{
		Kind: api.NotAllowed, Parameter: flag.Name, Allowed: allowed,
		Detail: fmt.Sprintf("%s is %q, but it may be %s", name, text, allowed),
	}
}
