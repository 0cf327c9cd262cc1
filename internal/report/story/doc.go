// Package story turns the notes of an author, written in Markdown, into HTML
// that a page can hold: CommonMark and nothing else.
//
// Markup that is typed as HTML is shown as the text that it is. Links go to http,
// https and mailto addresses; any other link is its words alone. Pictures are
// their alternative text, because a page asks for nothing. Headings are pushed
// below those of the page and none skips a level. What goldmark writes is passed
// through a second, independent list of what is allowed (bluemonday).
//
// Any text gives a result, and the same text the same one. Nothing is fetched.
package story
