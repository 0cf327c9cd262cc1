// Command collect writes the licence texts of the Go library and of the modules
// that are linked into the program to standard output, from the module cache.
// It fails when a module has none.
package main
