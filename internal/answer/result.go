package answer

import (
	"tamis/internal/fairness"
	"tamis/internal/stats"
	"tamis/internal/texture"
)

// FitSchema names the version of the result: a change that could break a reader
// of the JSON changes the number.
const FitSchema = "fit/1"

// Version of the program that computed a result. A constant of the source, so
// that outputs do not depend on how it was built.
const Version = "0.1.0"

// Result is one trial with everything asked of it. Its JSON is documented by
// `tamis schema fit`.
type Result struct {
	Tamis   string `json:"tamis"`
	Version string `json:"version"`
	Trial   Ref    `json:"trial"`
	texture.Result
	Safety   Safety             `json:"safety"`
	Findings []fairness.Finding `json:"findings"`
	Claim    *fairness.Claim    `json:"claim"`
	Doubts   Doubts             `json:"doubts"`
	RunSheet *RunSheet          `json:"run_sheet,omitempty"`
	Text     Prose              `json:"text"`
}

// Ref says which trial this is.
type Ref struct {
	File       string   `json:"file"` // without its folder, so that the same trial gives the same bytes anywhere
	SHA256     string   `json:"sha256"`
	Title      string   `json:"title"`
	Question   string   `json:"question,omitempty"`
	By         string   `json:"by,omitempty"`
	Date       string   `json:"date,omitempty"`
	Food       string   `json:"food,omitempty"`
	Kind       string   `json:"kind,omitempty"`
	Medium     string   `json:"medium"`
	Aims       []Aim    `json:"aims"`
	Disclosure string   `json:"disclosure,omitempty"` // who paid, lent or gave; or that the data are invented
	Notes      string   `json:"notes,omitempty"`
	Files      []string `json:"files"`
}

// Aim is one aim as the file states it.
type Aim struct {
	Measure string   `json:"measure"`
	Low     *float64 `json:"low,omitempty"`
	High    *float64 `json:"high,omitempty"`
	Best    string   `json:"best,omitempty"` // highest, lowest
	For     string   `json:"for,omitempty"`
}

// Safety is what can be said about eating it.
type Safety struct {
	Verdict  string     `json:"verdict"`
	Why      string     `json:"why"`
	Lead     []Sentence `json:"lead"`     // stands right under the answer
	Cautions []Sentence `json:"cautions"` // the rest, beside the method
}

// Prose is every sentence that a person reads, by place.
type Prose struct {
	Answer    Sentence        `json:"answer"`            // the answer, in one sentence
	Blocked   Sentence        `json:"blocked,omitempty"` // the finding that keeps it from being one; nothing where none does
	Safety    []Sentence      `json:"safety"`            // right under it
	Doubt     []Sentence      `json:"doubt"`             // how sure
	Compare   []Sentence      `json:"compare"`           // what differed
	Basis     Sentence        `json:"basis"`             // "18 cooks, 8 assessors, blind"
	Next      []Sentence      `json:"next"`              // what to cook next
	Missing   []Sentence      `json:"missing"`           // write down next time
	Units     []Sentence      `json:"units"`             // one line a factor
	Variance  []Sentence      `json:"variance"`          // what enters, what cannot be told apart
	Panel     []Sentence      `json:"panel"`             // how the panel did
	Cautions  []Sentence      `json:"cautions"`          // the rest of the cautions
	Method    []Sentence      `json:"method"`            // the methods paragraph
	Reference []string        `json:"references"`
	Notices   []stats.Warning `json:"notices,omitempty"`
}
