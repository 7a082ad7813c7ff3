package packet

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"
	"unicode/utf8"

	"knobwright/internal/length"

	"knobwright/internal/trade/drilling"
)

// scheduleCSV is the schedule for a spreadsheet or a machine: a line for each job, places in millimetres from the datum corner
// of the board, and also in inches when the panel file is written in inches. Jobs count from 1 on every board.
func scheduleCSV(sheets []sheetOf) ([]byte, error) {
	inch := sheets[0].r.Panel.Units == "in"
	head := []string{"board", "job", "hole", "for", "what", "do", "bit_kind", "bit", "bit_mm", "across_mm", "up_mm", "blind_depth_mm", "rpm_low", "rpm_high", "from", "as_cut", "finished", "chain_mm", "note"}
	if inch {
		head = append(head, "bit_in", "across_in", "up_in")
	}
	rows := [][]string{head}
	for _, s := range sheets {
		board := s.d.board
		if board == "" {
			board = "face"
		}
		r := s.r
		for _, j := range r.Drilling.Jobs {
			from := "front"
			switch {
			case j.Back:
				from = "back"
			case j.Both:
				from = "both"
			}
			as, fin := "", ""
			for _, h := range r.Drilling.Holes {
				if h.N == j.Hole && j.Last {
					as, fin = h.AsCut, h.Finished
				}
			}
			line := []string{
				board, strconv.Itoa(j.N), strconv.Itoa(j.Hole), ownerName(j.Cut), j.Cut.What, j.Do, string(j.Bit.Kind), j.Bit.Name,
				length.Plain(j.Bit.Diameter), decimals(j.At.X, 2), decimals(j.At.Y, 2), length.Plain(j.Depth),
				strconv.Itoa(j.RPMLow), strconv.Itoa(j.RPMHigh), from, as, fin, chainPoints(j), j.Say,
			}
			if inch {
				line = append(line, decimals(j.Bit.Diameter/length.PerInch, 4), decimals(j.At.X/length.PerInch, 4), decimals(j.At.Y/length.PerInch, 4))
			}
			rows = append(rows, line)
		}
	}
	return table(rows)
}

// decimals prints a number with so many decimals, never "-0".
func decimals(x float64, n int) string {
	s := strconv.FormatFloat(x, 'f', n, 64)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

// table writes CSV that no spreadsheet mistakes for formulas: a text that begins like one gets a leading apostrophe.
func table(rows [][]string) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	for _, r := range rows {
		out := make([]string, len(r))
		for i, s := range r {
			out[i] = safeCell(s)
		}
		if err := w.Write(out); err != nil {
			return nil, err
		}
	}
	w.Flush()
	return b.Bytes(), w.Error()
}

// chainPoints lists every hole of a chain, across and up: a maker sets them out one by one.
func chainPoints(j drilling.Job) string {
	var ps []string
	for _, q := range j.Points {
		ps = append(ps, decimals(q.X, 2)+" "+decimals(q.Y, 2))
	}
	return strings.Join(ps, "; ")
}

// safeCell guards a text against being read as a formula; the wide signs of East Asian keyboards count as the plain ones.
func safeCell(s string) string {
	if _, err := strconv.ParseFloat(s, 64); err == nil && strings.IndexFunc(s, notOfNumber) < 0 {
		return s
	}
	r, _ := utf8.DecodeRuneInString(strings.TrimLeft(s, " \u00a0\n"))
	if strings.ContainsRune("=+-@\t\r＝＋－＠", r) {
		return "'" + s
	}
	return s
}

func notOfNumber(r rune) bool { return !strings.ContainsRune("0123456789+-.eE", r) }
