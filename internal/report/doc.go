// Package report turns a result of answer into pages: one self-contained HTML
// file which opens from a memory stick, prints, reads on a
// phone, in dark mode, by keyboard and by screen reader.
// A page reads the same without scripts. Those that it may carry are allowed by
// their hash: the charts that answer to the pointer, and on the science report a
// button that saves a figure with its caution, n, source and date.
//
// It chooses what stands where and builds the figures. It computes no
// statistics and adds no sentence about a trial but the words of its figures,
// which are made of the same parts as those of answer. Its templates compute
// nothing: every string they print is ready in a view model.
//
// The page for readers (Readers) adds the author's own story and photos, which
// come through the packages story and photo; its fragment (Article) is plain HTML
// in one unit system. It is not made while a finding blocks, but as a draft.
//
// Both unit systems are on the page, in sibling spans; a radio button shows
// one of them by CSS alone. Names, titles and notes from a trial file are shown
// as text, isolated from the direction of the text around them. Same result,
// same bytes. Errors are those of figure and of html/template; bad input never
// panics.
//
// Sheets prints a trial before its cook, in black and white: it reads the record
// itself and what answer.SheetsOf says of who may eat it. A ballot tells neither
// set point nor cook. Every box is 8 mm or more, and what is acted on by the
// baths can be read from a metre.
package report
