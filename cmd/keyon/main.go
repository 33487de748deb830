// Command keyon plans, checks and documents the wiring of one-off cars.
package main

import (
	"os"

	"keyon/ui/cli"
)

func main() { os.Exit(cli.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }
