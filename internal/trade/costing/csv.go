package costing

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"
	"unicode/utf8"

	"knobwright/internal/length"
	"knobwright/internal/trust"
)

// CSV is the list for a spreadsheet: a line for each thing, prices with a point, shops as further columns. Amounts of wire are metres, and
// feet too when inches are asked for; sizes are in mm, and in inches too. A text that a spreadsheet would take for a formula gets an apostrophe.
func CSV(r Result, inches bool) ([]byte, error) {
	head := []string{"section", "id", "title", "size_mm", "unit", "use", "spare", "why_spare", "have", "buy", "pack", "packs", "pack_price_from", "pack_price_to", "sum_from", "sum_to", "currency", "priced_by", "for"}
	if inches {
		head = append(head, "size_in", "buy_ft")
	}
	for _, s := range r.Shops {
		head = append(head, "shop "+s.Name)
	}
	if r.Split != nil {
		head = append(head, "cheapest_at")
	}
	rows := [][]string{head}
	for i, l := range r.Lines {
		row := []string{
			l.Section, l.ID, l.Title, l.Size, l.Unit, number(l.Use), number(l.Spare), l.Why, number(l.Have), number(l.Buy), number(l.Pack), strconv.Itoa(l.Packs),
			priceCell(l, l.Each.From), priceCell(l, l.Each.To), priceCell(l, l.Sum.From), priceCell(l, l.Sum.To), r.Currency, string(l.Source.Provenance), strings.Join(l.For, "; "),
		}
		if inches {
			row = append(row, inInches(l.Size), feet(l))
		}
		for _, s := range r.Shops {
			c := ""
			if s.Each[i] > 0 {
				c = money(s.Sums[i])
			}
			row = append(row, c)
		}
		if r.Split != nil {
			c := ""
			if k := r.Split.Shop[i]; k >= 0 {
				c = r.Shops[k].Name
			}
			row = append(row, c)
		}
		rows = append(rows, row)
	}
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	for _, row := range rows {
		for i := range row {
			row[i] = Cell(row[i])
		}
		if err := w.Write(row); err != nil {
			return nil, err
		}
	}
	w.Flush()
	return b.Bytes(), w.Error()
}

// Bare is a list without prices, without what is on hand and without shops: for those who share it.
func Bare(r Result) Result {
	out := Result{Currency: r.Currency}
	for _, l := range r.Lines {
		l.Have, l.Each, l.Sum, l.one, l.Priced, l.Source = 0, Range{}, Range{}, Range{}, false, trust.Source{}
		l.Buy = round(l.Use+l.Spare, 1000)
		l.Packs = packs(l.Buy, l.Pack)
		out.Lines = append(out.Lines, l)
	}
	return out
}

// Cell guards a text against being read as a formula: one that begins with = + - @, with their wide forms of East Asian keyboards, with a tab or a
// carriage return gets an apostrophe, unless it is a plain number. Line breaks inside become spaces.
func Cell(s string) string {
	if _, err := strconv.ParseFloat(s, 64); err == nil && strings.Trim(s, "0123456789.-") == "" {
		return s
	}
	guard := false
	r, _ := utf8.DecodeRuneInString(strings.TrimLeft(s, " \u00a0\n\ufeff"))
	guard = strings.ContainsRune("=+-@\t\r＝＋－＠", r)
	s = strings.Map(func(r rune) rune {
		if r == '\r' || r == '\n' || r == '\t' || r == 0 {
			return ' '
		}
		return r
	}, s)
	if guard {
		return "'" + s
	}
	return s
}

func number(v float64) string { return strconv.FormatFloat(round(v, 1000), 'f', -1, 64) }

func priceCell(l Line, v float64) string {
	if !l.Priced {
		return ""
	}
	return money(v)
}

// inInches turns "600 x 300" into fractions of inches.
func inInches(size string) string {
	if size == "" {
		return ""
	}
	var out []string
	for _, f := range strings.Split(size, " x ") {
		v, err := strconv.ParseFloat(f, 64)
		if err != nil {
			return ""
		}
		out = append(out, strings.TrimSuffix(length.Inches(length.Length(v)), " in"))
	}
	return strings.Join(out, " x ") + " in"
}

func feet(l Line) string {
	if l.Unit != "m" {
		return ""
	}
	return strconv.FormatFloat(l.Buy*1000/length.PerInch/12, 'f', 1, 64)
}
