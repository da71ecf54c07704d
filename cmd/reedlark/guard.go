package main

import (
	"fmt"
	"runtime/debug"
)

// errBug is the error of a panic: a fault of our own.
func errBug(fault any) error {
	return fmt.Errorf("a bug in reedlark, please report it: %v\n%s", fault, debug.Stack())
}

// guarded does something for one page of many, so that a bug that one of them brings
// out does not cost the others.
func guarded[T any](do func() (T, error)) (out T, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = errBug(fault)
		}
	}()
	return do()
}
