//go:build !linux

package cli

import "os"

// fileIsTerminal takes every character device for a terminal but the null
// device: the standard library has no better answer outside Linux.
func fileIsTerminal(f *os.File) bool {
	info, err := f.Stat()
	if err != nil || info.Mode()&os.ModeCharDevice == 0 {
		return false
	}
	null, err := os.Stat(os.DevNull)
	return err == nil && !os.SameFile(info, null)
}
