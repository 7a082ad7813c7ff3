package costing

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/finding"
	"knobwright/internal/length"
	"knobwright/internal/yamlfile"
)

// StockFile is the file that the person keeps: what is on the shelf, and what their shops ask.
type StockFile struct {
	// Version of the file's form; 1.
	Version int `yaml:"knobwright-stock" jsonschema:"required"`
	// Currency of the prices below, three letters; EUR when it is left out.
	Currency string `yaml:"currency"`
	// How much of that currency one euro is, for the prices of the catalogue.
	Rate Amount `yaml:"rate"`
	// What is on hand, by the name on the list: pieces, or metres with an m.
	Have map[string]Amount `yaml:"have"`
	// Shops, each with its prices.
	Shops yamlfile.Ordered[ShopFile] `yaml:"shops"`
	// Panels whose needs have been taken off, with the date. Written by knobwright stock take.
	Taken map[string]string `yaml:"taken"`
}

// ShopFile is a shop in the stock file.
type ShopFile struct {
	// What it asks for sending, once.
	Shipping Amount `yaml:"shipping"`
	// Its prices, by the name on the list: of one piece, a metre, a square metre.
	Prices map[string]PriceFile `yaml:"prices"`
}

// PriceFile is a price: a number, or a number and the pack that it is sold in.
type PriceFile struct {
	Price Amount `yaml:"price" kw:"scalar"` // of one
	Pack  Amount `yaml:"pack"`              // how many are sold together; 1 when it is left out
}

// Amount is a number as the person writes it, perhaps with its unit: "12", "4.5 m", "2,50 EUR".
type Amount struct {
	Text string `yaml:"text" kw:"scalar"`
}

// Stock is a stock file that was read.
type Stock struct {
	Name     string // file name, for positions
	Currency string
	Rate     float64 // of Currency for one EUR
	Have     map[string]float64
	Shops    []ShopPrices
	Taken    map[string]string
	Findings []finding.Finding
	pos      map[string]finding.Pos
	src      []byte
}

// ShopPrices are the prices of a shop.
type ShopPrices struct {
	Name     string
	Shipping float64
	Price    map[string]float64 // of one
	Pack     map[string]float64
}

// most is the largest amount or price that is taken seriously.
const most = 1e7

// ReadStock reads a stock file. What cannot be read is in Findings; an empty text is an empty shelf.
func ReadStock(name string, src []byte) Stock {
	s := Stock{Name: name, Have: map[string]float64{}, Taken: map[string]string{}, Rate: 1, src: src}
	d := &yamlfile.Decoder{File: name, Bare: length.MM}
	root := d.Parse(src)
	var f StockFile
	if root != nil && root.Kind == yaml.MappingNode {
		d.Decode(root, &f, "")
	} else if root != nil && !(root.Kind == yaml.ScalarNode && root.Tag == "!!null") {
		s.wrong("", "The stock file is no list of names with values.", "Begin it with the line knobwright-stock: 1.")
	}
	s.pos = d.Pos
	for _, p := range d.Problems {
		x := p.Finding("")
		x.Rule, x.Severity, x.Fixes = ruleStockFile.Name, finding.Warn, nil
		s.Findings = append(s.Findings, x)
	}
	if f.Version > 1 {
		s.wrong("knobwright-stock", fmt.Sprintf("The stock file is of version %d; this program knows 1.", f.Version), "Take a newer program.")
	}
	s.Currency = strings.ToUpper(strings.TrimSpace(f.Currency))
	if s.Currency != "" && !currencyWord(s.Currency) {
		s.wrong("currency", fmt.Sprintf("%q is no currency.", f.Currency), "Write its three letters: EUR, USD, CHF.")
		s.Currency = ""
	}
	if f.Rate.Text != "" {
		if v, _, ok := f.Rate.number(); ok && v > 0 {
			s.Rate = v
		} else {
			s.wrong("rate", "The rate is no number above zero.", "Write how much of your currency one EUR is.")
		}
	}
	for _, k := range slices.Sorted(maps.Keys(f.Have)) {
		if v, ok := s.amount(f.Have[k], "have."+k, k, "on hand"); ok {
			s.Have[k] = v
		}
	}
	for _, k := range f.Shops.Keys {
		in := f.Shops.Get(k)
		shop := ShopPrices{Name: k, Price: map[string]float64{}, Pack: map[string]float64{}}
		if in.Shipping.Text != "" {
			shop.Shipping, _ = s.amount(in.Shipping, "shops."+k+".shipping", "shipping", "of money")
		}
		for _, id := range slices.Sorted(maps.Keys(in.Prices)) {
			p := in.Prices[id]
			path := "shops." + k + ".prices." + id
			v, ok := s.amount(p.Price, path, id, "of money")
			if !ok || v == 0 {
				continue
			}
			shop.Price[id], shop.Pack[id] = v, 1
			if p.Pack.Text != "" {
				if n, ok := s.amount(p.Pack, path+".pack", id, "in a pack"); ok && n > 0 {
					shop.Pack[id] = n
				}
			}
		}
		s.Shops = append(s.Shops, shop)
	}
	if f.Taken != nil {
		s.Taken = f.Taken
	}
	return s
}

func currencyWord(s string) bool {
	return len(s) == 3 && strings.Trim(s, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") == ""
}

// number reads an amount: the value, and the word behind it.
func (a Amount) number() (v float64, unit string, ok bool) {
	t := strings.TrimSpace(a.Text)
	i := strings.IndexFunc(t, func(r rune) bool { return !strings.ContainsRune("0123456789.,+-", r) })
	if i < 0 {
		i = len(t)
	}
	n := t[:i]
	if strings.Count(n, ",") == 1 && !strings.Contains(n, ".") {
		n = strings.Replace(n, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(n, 64)
	return v, strings.TrimSpace(t[i:]), err == nil && v == v && v < most && v > -most
}

func (s *Stock) amount(a Amount, path, name, what string) (float64, bool) {
	v, unit, ok := a.number()
	if ok && unit == "mm" {
		v /= 1000
	}
	if !ok || v < 0 {
		s.wrong(path, fmt.Sprintf("The amount of %s %s, %q, is no number of zero or more.", name, what, a.Text), "Write a plain number; of wire and strip metres.")
		return 0, false
	}
	return v, true
}

func (s *Stock) wrong(path, head, body string) {
	s.Findings = append(s.Findings, finding.Finding{
		Rule: ruleStockFile.Name, Severity: finding.Warn, Head: head, Body: body, Ends: []finding.End{{Name: "the stock file", Pos: s.pos[path]}},
	})
}

// Taking is one thing that is taken off the shelf.
type Taking struct {
	ID, Title, Unit string
	Have, Use, Left float64
}

// Take gives the text of the stock file with what a design uses taken off what is on hand, and what was taken. panel is the name under which it is
// noted, on the date of taking. Spares stay on the shelf. Nothing is bought by it: what is not on hand is left out. The error is a sentence.
func (s Stock) Take(r Result, panel, on string) ([]byte, []Taking, error) {
	var edits []finding.Edit
	var took []Taking
	for _, l := range r.Lines {
		have, ok := s.Have[l.ID]
		if !ok || have <= 0 || l.Use <= 0 {
			continue
		}
		left := max(have-l.Use, 0)
		took = append(took, Taking{l.ID, l.Title, l.Unit, have, min(l.Use, have), left})
		v := strconv.FormatFloat(round(left, 1000), 'f', -1, 64)
		if l.Unit != "" {
			v += " " + l.Unit
		}
		edits = append(edits, finding.Edit{Op: finding.Set, Path: "have." + l.ID, Value: yamlfile.Quote(v)})
	}
	edits = append(edits, finding.Edit{Op: finding.Set, Path: "taken." + panel, Value: yamlfile.Quote(on)})
	for i := range edits {
		if v := edits[i].Value; strings.Trim(v, `"'`) != v && !strings.Contains(edits[i].Path, "taken.") {
			edits[i].Value = strings.Trim(v, `"'`) // plain numbers stay plain
		}
	}
	out, err := yamlfile.Edit(s.src, &StockFile{}, edits)
	return out, took, err
}

// Start gives the text of a new stock file for a design: every thing on its list with nothing on hand.
func Start(r Result) []byte {
	var b strings.Builder
	cur := r.Currency
	b.WriteString("# What is on hand, and what your shops ask. Amounts are pieces, of wire and strip metres.\nknobwright-stock: 1\ncurrency: " + cur + "\n")
	if cur != "EUR" {
		b.WriteString("rate: 1      # of " + cur + " for one EUR\n")
	}
	b.WriteString("have:\n")
	for _, sec := range SectionNames {
		first := true
		for _, l := range r.Lines {
			if l.Section != sec {
				continue
			}
			if first {
				b.WriteString("  # " + sec + "\n")
				first = false
			}
			n := "0"
			if l.Unit != "" {
				n += " " + l.Unit
			}
			b.WriteString("  " + yamlfile.Quote(l.ID) + ": " + n + "\n")
		}
	}
	b.WriteString("shops: {}\n")
	b.WriteString("# shops:\n#   corner-shop:\n#     shipping: 4.90\n#     prices:\n#       push-16mm: 2.40\n#       lamp-5mm-holder: {price: 0.80, pack: 5}\n")
	return []byte(b.String())
}
