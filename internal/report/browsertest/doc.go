// Package browsertest holds the pages of report against a real browser:
// Chromium shows, prints and zooms them, and the tests look at what came out.
// It has no code of its own.
//
// The tests need Chromium and fail without one. TAMIS_BROWSER names another
// binary; TAMIS_BROWSER=off skips them, for machines that cannot have one.
package browsertest
