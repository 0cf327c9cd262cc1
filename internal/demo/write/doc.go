// Command write puts the demo trials into the folder given. It replaces files
// of the same name and removes none.
package main
