//go:build !js

package main

import (
	"fmt"
	"os"
)

// main is for whoever wants to see on a machine what a phone answers from a saved venue's
// file: go run ./cmd/phone saved.json /venues/sallow-reach. In a browser main_js.go is it.
func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "phone:", err)
		os.Exit(1)
	}
}

func run(args []string) error {
	if len(args) != 2 {
		return fmt.Errorf("usage: phone FILE ADDRESS")
	}
	file, err := os.ReadFile(args[0])
	if err != nil {
		return err
	}
	p := &phone{}
	if err := p.load([]byte("{}"), [][]byte{file}); err != nil {
		return err
	}
	_, err = os.Stdout.Write(p.answer("GET", args[1]).body.Bytes())
	return err
}
