package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"sort"
	"strings"
)

func main() {
	text, err := collect("./cmd/tamis")
	if err != nil {
		fmt.Fprintln(os.Stderr, "collect:", err)
		os.Exit(1)
	}
	os.Stdout.Write(text)
}

// collect is the licence texts of what the package at path links, sorted by
// module.
func collect(path string) ([]byte, error) {
	out, err := goList("list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}}\t{{.Version}}\t{{.Dir}}{{end}}{{end}}", path)
	if err != nil {
		return nil, err
	}
	seen := map[string]bool{}
	var modules []string
	for _, line := range strings.Split(out, "\n") {
		if line != "" && !seen[line] {
			seen[line] = true
			modules = append(modules, line)
		}
	}
	sort.Strings(modules)
	root, err := goList("env", "GOROOT")
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := add(&b, "The Go library", strings.TrimSpace(root)); err != nil {
		return nil, err
	}
	for _, m := range modules {
		parts := strings.Split(m, "\t")
		if len(parts) != 3 || parts[2] == "" {
			return nil, fmt.Errorf("%s is not in the module cache: go mod download", m)
		}
		if err := add(&b, parts[0]+" "+parts[1], parts[2]); err != nil {
			return nil, err
		}
	}
	return b.Bytes(), nil
}

func goList(args ...string) (string, error) {
	cmd := exec.Command("go", args...)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		return "", fmt.Errorf("go %s: %w: %s", args[0], err, &stderr)
	}
	return string(out), nil
}

// licence matches the names under which licences go, of files and of folders
// that hold several.
var licence = regexp.MustCompile(`(?i)^(licen[cs]es?|copying|notice|patents|third_party_licen[cs]es)([-._].*)?$`)

// add appends every licence text in the folder of a module.
func add(b *bytes.Buffer, name, dir string) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	n := 0
	for _, e := range entries {
		if !licence.MatchString(e.Name()) || strings.HasSuffix(e.Name(), ".go") {
			continue
		}
		err := filepath.WalkDir(filepath.Join(dir, e.Name()), func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			text, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			rel, err := filepath.Rel(dir, path)
			if err != nil {
				return err
			}
			text = bytes.TrimSpace(bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n")))
			fmt.Fprintf(b, "%s: %s\n\n%s\n\n\n", name, filepath.ToSlash(rel), text)
			n++
			return nil
		})
		if err != nil {
			return err
		}
	}
	if n == 0 {
		return errors.New(name + " has no licence text")
	}
	return nil
}
