package main

import (
	"fmt"
	"os"
	"path/filepath"

	"tamis/internal/demo"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: write FOLDER")
		os.Exit(2)
	}
	for _, f := range demo.Files() {
		path := filepath.Join(os.Args[1], filepath.FromSlash(f.Path))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		if err := os.WriteFile(path, []byte(f.Text), 0o644); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
}
