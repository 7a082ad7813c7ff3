// Package book is the build book: everything that the trades decided, in the order of work, as one value with two writers. What is in
// it is said once: chapters of headings, sentences, tables and drawings; PDF sets them on pages with running heads, HTML in one file
// that can be read on a phone. All of its own words come from the catalogue of texts (package words); findings and the workshop
// sentences of the trades stay in English, and the book says so.
//
// # How a book is made
//
//	job.Result, Options --Make--> Book --PDF--> drawing.Document
//	                                   --HTML-> one page
//
// Lengths inside are millimetres. Figures are drawing scenes in the size that they have on paper. The same job and options give the same
// bytes.
package book

import (
	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/record"
	"knobwright/internal/trade/steps"
	"knobwright/internal/view"
	"knobwright/internal/words"
)

// Options say how a book is made.
type Options struct {
	Lang     words.Lang     // "" = English
	Units    string         // mm, in or both; "" = as the panel file writes
	File     string         // name of the panel file, without folders
	Mark     string         // of the file's text
	Steps    *steps.Result  // the order of work; nil = the usual order of chapters
	Record   *record.Record // what happened at the bench; nil = nothing yet
	Tests    []Test         // lines of the test sheet; nil = made from what the panel sends
	NoPrices bool           // prices and stock are left out
	Drawings Drawings
}

// Drawings are scenes that others have made already.
type Drawings struct {
	Whole     *drawing.Scene // the box as it will stand, in any size
	Boards    []Picture      // circuit boards with their pins, in paper size
	Schematic []Picture      // in paper size
	Groups    []WireGroup    // wires that are followed together
	Sessions  []Picture      // the timeline of the work, session by session, in paper size
	Drying    *drawing.Scene // what dries meanwhile, in paper size
	Boxes     []Picture      // boards of the box by name, with their sizes, in paper size
}

// Picture is a scene with its title.
type Picture struct {
	Title string
	Scene *drawing.Scene
}

// WireGroup is a group of wires and its drawing from behind, in paper size.
type WireGroup struct {
	Name, Say string
	Hops      []view.Hop
	Scene     *drawing.Scene
}

// Test is a line of the test sheet.
type Test struct {
	Control    string // name of the control
	Do, Expect string
}

// Book is a build book in one language and one kind of units.
type Book struct {
	Lang     words.Lang
	Title    string // large on the cover
	Sub      string
	File     string
	Mark     string
	State    string // "no stop, 3 warnings"
	Stop     bool   // there is a stop: nothing is to be cut
	Letter   bool   // Letter paper, else A4
	Cover    Cover
	Chapters []Chapter
	Names    []Name // controls, for the index, by label
}

// Cover is what stands on the first page.
type Cover struct {
	Whole    *drawing.Scene
	View     drawing.View
	Pencil   []string // three short lines
	Rows     []CoverRow
	Steps    bool // the rows are steps with times, else chapters
	Start    []Caution
	Trust    [][2]string
	Foot     [2]string
	HeadRows string
}

// CoverRow is a line of the order of work.
type CoverRow struct {
	Text, Bench, Wait string
	Chapter           string // ID of the chapter where it is told
}

// Caution is a safety sign with its sentence.
type Caution struct {
	Sign       drawing.Sign
	Head, Body string
}

// Name is a control in the index.
type Name struct {
	Control string // as the file calls it
	Label   string
	Part    string
}

// Chapter is a part of the book that begins on a new page.
type Chapter struct {
	ID     string
	Title  string
	Use    string // one sentence under the title
	Blocks []Block
}

// Block is one thing in a chapter: one of Heading, Para, List, Table, Figure, Finding, Signs, Write.
type Block interface{ block() }

// Heading begins a section.
type Heading struct {
	Text string
	ID   string
	New  bool // on a new page
}

// Para is a paragraph.
type Para struct {
	Text  string
	Quiet bool
	Bold  bool
	Mono  bool // a line to type
	En    bool // it is in English whatever the book is
}

// List is a list of sentences.
type List struct {
	Items  []string
	Tick   bool
	Number bool
	En     bool

	told map[int]bool // items that are said in the book's language all the same
}

// Table is a list in columns.
type Table struct {
	ID   string
	Name string // for those who do not see it
	Cols []Col
	Rows []Row
}

// Col is a column.
type Col struct {
	Head  string
	Right bool
	Bold  bool
	Quiet bool
	Small bool
	Tick  bool    // a box to tick where the cell is not empty
	Write bool    // a line to write on
	Never bool    // never broken into lines
	En    bool    // sentences of the trades
	Least float64 // of a line to write on, mm
}

// Row is a row, or with Band a heading between rows.
type Row struct {
	Cells []string
	Of    []string // controls it is about, for the index
	Band  string
	Note  string // a sentence under the band
	Under string // sentences under the cells, across the table

	told map[int]bool // cells of columns in English that are said in the book's language
}

// Figure is a drawing.
type Figure struct {
	ID      string
	Title   string // what stands under it
	Alt     string // what it shows, for those who do not see it
	View    drawing.View
	Scene   *drawing.Scene // in paper size
	Of      []string
	NoScale string // "Scale 1 : 2; do not measure here"
	Free    bool   // it has no scale: it may be set a little smaller to stand with its heading
}

// Finding is what a check says.
type Finding struct {
	F  finding.Finding
	Of []string // controls it is about, for the index
	En [4]bool  // head, body, what to do, why: what stays in English
}

// Signs are cautions in a row.
type Signs struct{ Of []Caution }

// Write is so many empty lines to write on, under a sentence.
type Write struct{ Lines int }

func (Heading) block() {}
func (Para) block()    {}
func (List) block()    {}
func (Table) block()   {}
func (Figure) block()  {}
func (Finding) block() {}
func (Signs) block()   {}
func (Write) block()   {}
