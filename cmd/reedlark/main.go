// Command reedlark plays harmonica tab: text in, sound out, as a file or over
// HTTP.
//
// Every command fills the same [api.Request] from its flags, through the same
// table of parameters as a query or a JSON body does, and hands it to the door;
// nothing here knows how a tab is read or a sound is made. What is here is what
// a terminal needs: files in and out, messages with their place, exit codes.
//
// Results go to standard output, messages to standard error. A command ends
// with 0 when it is done, 1 when a tab is at fault, 2 when the call is, and 3
// when something else failed; over several files, with the worst of them.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"slices"
	"strings"
	"syscall"

	"github.com/alecthomas/kong"

	"reedlark/api"
)

func main() {
	signal.Ignore(syscall.SIGPIPE) // a closed pipe is an error that can be told
	os.Exit(run(untilTold(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// untilTold ends with the first Ctrl-C or SIGTERM. The second ends the process,
// whatever it does; there is room for both, so that none is missed.
func untilTold() context.Context {
	ctx, end := context.WithCancel(context.Background())
	told := make(chan os.Signal, 2)
	signal.Notify(told, os.Interrupt, syscall.SIGTERM)
	go func() {
		<-told
		end()
		<-told
		os.Exit(int(api.Ours))
	}()
	return ctx
}

// command is what each command line struct does once its flags are read.
type command interface {
	run(ctx context.Context, c *console) api.Blame
}

// console is the terminal, or what stands in for it, with the request that the
// flags have filled and the door it goes through.
type console struct {
	stdin   io.Reader
	stdout  *stickyWriter
	stderr  io.Writer
	request api.Request
	given   map[string]bool // the flags, by name
	parsed  *kong.Context
	door    *api.Door
}

// run is the whole program but for the process around it.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) (code int) {
	defer func() {
		if fault := recover(); fault != nil {
			printf(stderr, "reedlark: a mistake in reedlark itself, please report it: %v\n%s", fault, debug.Stack())
			code = int(api.Ours)
		}
	}()
	c := &console{stdin: stdin, stdout: &stickyWriter{Writer: stdout, ctx: ctx}, stderr: stderr, request: api.Defaults(), door: api.NewDoor()}
	blame := c.obey(ctx, args)
	if c.stdout.err != nil {
		c.say("standard output is not complete: %v", c.stdout.err)
		blame = api.Ours
	}
	return int(blame)
}

func (c *console) obey(ctx context.Context, args []string) api.Blame {
	helped := false
	out, blame := io.Writer(c.stdout), api.Nobody
	if len(args) == 0 { // help that was not asked for is a message
		args, out, blame = []string{"--help"}, c.stderr, api.TheCall
	}
	if args[0] == "help" { // as many programs have it
		args = append(slices.Clone(args[1:]), "--help")
	}
	parser, err := newParser(args, out, c.stderr, func(int) { helped = true })
	if err != nil {
		return c.fail("", err)
	}
	parsed, err := parser.Parse(args)
	if helped || c.stdout.err != nil {
		return blame
	}
	if err == nil {
		c.given, c.parsed = given(parsed), parsed
		if !c.searches() {
			err = fill(&c.request, parsed)
		}
	}
	if err != nil {
		return c.fail("", asCall(err))
	}
	return parsed.Selected().Target.Addr().Interface().(command).run(ctx, c)
}

// searches says that the flags are those of a search, which some names of a
// tab's parameters share.
func (c *console) searches() bool {
	name := c.parsed.Selected().Name
	return name == "find" || name == "arrange"
}

// asCall blames the call for what the parser of flags refuses.
func asCall(err error) error {
	var call *api.CallError
	if errors.As(err, &call) { // in our own words, without the parser's round them
		return call
	}
	var refused *kong.ParseError
	if errors.As(err, &refused) {
		return &api.CallError{Kind: api.Malformed, Detail: err.Error() + "; see reedlark --help"}
	}
	return err
}

// say writes one message of the program's own.
func (c *console) say(format string, args ...any) {
	printf(c.stderr, "reedlark: %s\n", clean(fmt.Sprintf(format, args...)))
}

// fail tells of an error, about a file where there is one, and says whose fault
// it is. A tab's problems have been told in their places by then.
func (c *console) fail(name string, err error) api.Blame {
	blame := api.BlameFor(err)
	if blame == api.Nobody || blame == api.TheTab {
		return blame
	}
	if c.stdout.err != nil && errors.Is(err, c.stdout.err) {
		return blame // told at the end
	}
	if name != "" {
		name += ": "
	}
	c.say("%s%s", name, words(err))
	return blame
}

// words is an error as it is told, with what a call may be where it does not
// say so itself.
func words(err error) string {
	if errors.Is(err, context.Canceled) {
		return "interrupted"
	}
	var tab *api.TabError
	if errors.As(err, &tab) { // told in its place; what is left to say is the flag
		return fmt.Sprintf("with another --%s it would play; it may be %s", flagName(tab.Parameter), tab.Allowed)
	}
	var call *api.CallError
	if !errors.As(err, &call) {
		return err.Error()
	}
	detail := strings.Replace(call.Detail, call.Parameter, flagName(call.Parameter), 1)
	if strings.Contains(detail, call.Allowed) {
		return detail
	}
	return detail + "; it may be " + call.Allowed
}

// flagName is how the command line spells a parameter.
func flagName(parameter string) string { return strings.ReplaceAll(parameter, "_", "-") }
