//go:build !js

package main

import (
	"fmt"
	"os"
)

// main only says how to build the engine, which runs nowhere but in a browser.
func main() {
	fmt.Fprintln(os.Stderr, "engine: this command runs in a browser; go generate ./api/web builds it")
	os.Exit(3)
}
