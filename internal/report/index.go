package report

import (
	"bytes"
	"html/template"
	"net/url"
)

// IndexEntry is a trial of an index, with its pages.
type IndexEntry struct {
	Trial, Title string
	Pages        []IndexPage
}

// IndexPage is a page: its file in the same folder, and whom it is for.
type IndexPage struct {
	File, Reader string
	Draft        bool
}

// Label is the words of the link.
func (p IndexPage) Label() string {
	s := map[string]string{"kitchen": "For the kitchen", "science": "For scientists", "readers": "For readers"}[p.Reader]
	if s == "" {
		s = p.File
	}
	if p.Draft {
		s += " (draft)"
	}
	return clean(s)
}

// Href is the address of the file beside the index.
func (p IndexPage) Href() string { return "./" + url.PathEscape(p.File) }

var indexPage = template.Must(template.New("index").Parse(`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{{.Policy}}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<link rel="icon" href="data:,">
<title>Trials</title>
<style>
{{.Style}}
h1{font-size:1.5rem;color:var(--ink);padding:0}
main ul{list-style:none;padding:0;margin:.25rem 0 0;display:flex;flex-wrap:wrap;gap:0 1.5rem}
main a{display:inline-block;padding:.625rem 0}
</style>
</head>
<body>
<main>
<h1>Trials</h1>
{{- range .Entries}}
<section>
<h2 dir="auto">{{.Title}}</h2>
<ul>
{{- range .Pages}}
<li><a href="{{.Href}}">{{.Label}}</a></li>
{{- end}}
</ul>
</section>
{{- end}}
</main>
</body>
</html>
`))

// Index renders a page that leads to other pages of the same folder.
func Index(entries []IndexEntry) ([]byte, error) {
	css, err := style()
	if err != nil {
		return nil, err
	}
	list := make([]IndexEntry, len(entries))
	for i, e := range entries {
		list[i] = e
		if list[i].Title = oneLine(e.Title); list[i].Title == "" {
			list[i].Title = oneLine(e.Trial)
		}
	}
	var b bytes.Buffer
	err = indexPage.Execute(&b, struct {
		Policy  string
		Style   template.CSS
		Entries []IndexEntry
	}{policy(nil), css, list})
	return b.Bytes(), err
}
