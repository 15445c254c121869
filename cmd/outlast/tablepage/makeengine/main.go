// Command makeengine builds the engine of the page for WebAssembly into the folder from which it becomes part of the
// program. It is what go generate runs for a release.
package main

import (
	"context"
	"fmt"
	"os"

	"outlast/cmd/outlast/tablepage"
)

func main() {
	if err := tablepage.Generate(context.Background(), "built"); err != nil {
		fmt.Fprintln(os.Stderr, "makeengine:", err)
		os.Exit(1)
	}
}
