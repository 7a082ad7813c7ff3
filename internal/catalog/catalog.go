package catalog

import (
	"embed"
	"io/fs"
	"slices"
	"strings"
	"sync"

	"knobwright/internal/trust"
)

// Catalog is a set of shelves with records. The zero value is empty. It is safe for concurrent use; the records it hands
// out share their lists, so copy before changing one.
type Catalog struct {
	parts     shelf[Part]
	sheets    shelf[Sheet]
	coverings shelf[Covering]
	bits      shelf[BitSet]
	wires     shelf[Wire]
	smalls    shelf[Small]
}

//go:embed data
var data embed.FS

// Builtin is the catalogue that comes with the program. It is cheap to call: the first call finds where each record
// starts in the embedded text, and a record is read when it is first asked for.
var Builtin = sync.OnceValue(builtin)

func builtin() *Catalog {
	c := &Catalog{}
	for _, class := range Classes {
		c.parts.scan("parts/" + string(class) + ".yaml")
	}
	for _, name := range names("sheets") {
		c.sheets.scan(name)
	}
	for _, name := range names("coverings") {
		c.coverings.scan(name)
	}
	for _, name := range names("bits") {
		c.bits.scan(name)
	}
	for _, name := range names("wires") {
		c.wires.scan(name)
	}
	for _, name := range names("smalls") {
		c.smalls.scan(name)
	}
	return c
}

// Classes are the trade classes in the order that lists use.
var Classes = []Class{
	Push, Toggle, Rocker, Slide, Key, Rotary, Encoder, Pot, SlidePot, Joystick,
	Lamp, Display, Socket, Buzzer, Plug, ModuleBrd,
}

func names(dir string) []string {
	es, err := fs.ReadDir(data, "data/"+dir) // sorted by name
	if err != nil {
		panic("catalog: " + err.Error()) // the folder is part of the program
	}
	var s []string
	for _, e := range es {
		s = append(s, dir+"/"+e.Name())
	}
	return s
}

// Part gives the record of a part.
func (c *Catalog) Part(id string) (Part, bool) { return c.parts.get(id) }

// Sheet gives the record of a sheet.
func (c *Catalog) Sheet(id string) (Sheet, bool) { return c.sheets.get(id) }

// Covering gives the record of a covering.
func (c *Catalog) Covering(id string) (Covering, bool) { return c.coverings.get(id) }

// BitSet gives the record of a set of bits.
func (c *Catalog) BitSet(id string) (BitSet, bool) { return c.bits.get(id) }

// Wire gives the record of a wire.
func (c *Catalog) Wire(id string) (Wire, bool) { return c.wires.get(id) }

// Small gives the record of a small part of the wiring.
func (c *Catalog) Small(id string) (Small, bool) { return c.smalls.get(id) }

// PartIDs lists the names of all parts, by trade class, then by size.
func (c *Catalog) PartIDs() []string { return slices.Clone(c.parts.ids) }

// SheetIDs lists the names of all sheets, by material, then by thickness.
func (c *Catalog) SheetIDs() []string { return slices.Clone(c.sheets.ids) }

// CoveringIDs lists the names of all coverings.
func (c *Catalog) CoveringIDs() []string { return slices.Clone(c.coverings.ids) }

// BitSetIDs lists the names of all sets of bits, by kind.
func (c *Catalog) BitSetIDs() []string { return slices.Clone(c.bits.ids) }

// WireIDs lists the names of all wires, by kind, thick ones first.
func (c *Catalog) WireIDs() []string { return slices.Clone(c.wires.ids) }

// SmallIDs lists the names of all small parts of the wiring, by kind.
func (c *Catalog) SmallIDs() []string { return slices.Clone(c.smalls.ids) }

// practice is what is known of a number that its record says nothing about.
var practice = trust.Source{Text: "usual for the trade class; measure yours", Provenance: trust.Practice, Confidence: trust.Low}

// Source tells where the numbers of a field come from; field is its name in the file: "hole", "grip", "rear". A dotted
// name ("thread.length") is answered by its first word when the record says no more.
func (p Part) Source(field string) trust.Source { return sourceOf(p.Trust, field) }

// Source tells where the numbers of a field come from, as for a part.
func (s Sheet) Source(field string) trust.Source { return sourceOf(s.Trust, field) }

// Source tells where the numbers of a field come from, as for a part.
func (c Covering) Source(field string) trust.Source { return sourceOf(c.Trust, field) }

// Source tells where the numbers of a field come from, as for a part.
func (s BitSet) Source(field string) trust.Source { return sourceOf(s.Trust, field) }

// Source tells where the numbers of a field come from, as for a part.
func (w Wire) Source(field string) trust.Source { return sourceOf(w.Trust, field) }

// Source tells where the numbers of a field come from, as for a part.
func (s Small) Source(field string) trust.Source { return sourceOf(s.Trust, field) }

func sourceOf(m map[string]trust.Source, field string) trust.Source {
	head, _, _ := strings.Cut(field, ".")
	for _, k := range []string{field, head, "*"} {
		if s, ok := m[k]; ok {
			return s
		}
	}
	return practice
}
