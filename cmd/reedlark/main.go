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
	signal.Ignore(syscall.SIGPIPE) // a closed pipe is an error to report
	os.Exit(run(untilSignal(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// untilSignal is a context that the first Ctrl-C or SIGTERM ends. The second ends
// the process, whatever it is doing; the channel holds both, so none is missed.
func untilSignal() context.Context {
	ctx, end := context.WithCancel(context.Background())
	signals := make(chan os.Signal, 2)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
	go func() {
		<-signals
		end()
		<-signals
		os.Exit(int(api.OurFailure))
	}()
	return ctx
}

// command is what each command line struct does once its flags are read.
type command interface {
	run(ctx context.Context, c *console) api.Failure
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

// run is the whole program without the process around it.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) (code int) {
	defer func() {
		if fault := recover(); fault != nil {
			printf(stderr, "reedlark: a bug in reedlark, please report it: %v\n%s", fault, debug.Stack())
			code = int(api.OurFailure)
		}
	}()
	c := &console{stdin: stdin, stdout: &stickyWriter{Writer: stdout, ctx: ctx}, stderr: stderr, request: api.Defaults(), door: api.NewDoor()}
	failure := c.execute(ctx, args)
	if c.stdout.err != nil {
		c.say("standard output is not complete: %v", c.stdout.err)
		failure = api.OurFailure
	}
	return int(failure)
}

func (c *console) execute(ctx context.Context, args []string) api.Failure {
	helped := false
	out, failure := io.Writer(c.stdout), api.NoFailure
	if len(args) == 0 { // help that nobody asked for is a message
		args, out, failure = []string{"--help"}, c.stderr, api.CallFailure
	}
	if args[0] == "help" { // as in many programs
		args = append(slices.Clone(args[1:]), "--help")
	}
	parser, err := newParser(args, out, c.stderr, func(int) { helped = true })
	if err != nil {
		return c.fail("", err)
	}
	parsed, err := parser.Parse(args)
	if helped || c.stdout.err != nil {
		return failure
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

// asCall turns what the parser of flags refuses into a wrong call.
func asCall(err error) error {
	var call *api.CallError
	if errors.As(err, &call) { // in our own words, without those of the parser around them
		return call
	}
	var refused *kong.ParseError
	if errors.As(err, &refused) {
		return &api.CallError{Kind: api.Malformed, Detail: err.Error() + "; see reedlark --help"}
	}
	return err
}

// say prints a message to standard error.
func (c *console) say(format string, args ...any) {
	printf(c.stderr, "reedlark: %s\n", clean(fmt.Sprintf(format, args...)))
}

// fail reports an error, with the file if there is one, and classifies it. The
// diagnostics of a tab have been printed by then.
func (c *console) fail(name string, err error) api.Failure {
	failure := api.FailureOf(err)
	if failure == api.NoFailure || failure == api.TabFailure {
		return failure
	}
	if c.stdout.err != nil && errors.Is(err, c.stdout.err) {
		return failure // reported at the end
	}
	if name != "" {
		name += ": "
	}
	c.say("%s%s", name, describe(err))
	return failure
}

// describe is an error as users read it, with what the call may say if the error
// does not.
func describe(err error) string {
	if errors.Is(err, context.Canceled) {
		return "interrupted"
	}
	var tab *api.TabError
	if errors.As(err, &tab) { // printed in its place; only the flag is left to say
		return fmt.Sprintf("it would play with another --%s, which must be %s", flagName(tab.Parameter), tab.Allowed)
	}
	var call *api.CallError
	if !errors.As(err, &call) {
		return err.Error()
	}
	detail := strings.Replace(call.Detail, call.Parameter, flagName(call.Parameter), 1)
	if strings.Contains(detail, call.Allowed) {
		return detail
	}
	return detail + "; it must be " + call.Allowed
}

// flagName is how the command line spells a parameter.
func flagName(parameter string) string { return strings.ReplaceAll(parameter, "_", "-") }
