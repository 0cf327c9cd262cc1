// Package licences holds the licence texts of all that is in the program and
// was written elsewhere: the Go library, the modules that are linked into it,
// and the chart runtime, if that was built in.
//
// The texts of the modules are in modules.txt, which `make licences` collects
// from the module cache; a test fails when a module is linked whose text is not
// there. Those of the runtime come with the runtime.
package licences
