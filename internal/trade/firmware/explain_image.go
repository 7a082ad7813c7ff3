package firmware

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	core "knobwright/firmware"

	"knobwright/internal/image"
)

// ErrNotImage says that a file is neither of the two kinds.
var ErrNotImage = errors.New("it is neither a UF2 nor an Intel HEX file")

// ReadImage finds the table in a file for a module, UF2 or Intel HEX by its bytes.
func ReadImage(file []byte) (Parsed, bool, error) {
	var m image.Image
	var c *chip
	switch {
	case len(file) >= 4 && string(file[:4]) == "UF2\n":
		u, err := image.ReadUF2(file)
		if err != nil {
			return Parsed{}, false, err
		}
		if c = chipOf(core.RP2040); c == nil {
			return Parsed{}, false, ErrNotImage
		}
		for _, p := range u.Check(c.target()) {
			return Parsed{}, false, errors.New(p.String())
		}
		if m, err = u.Image(c.target().Family); err != nil {
			return Parsed{}, false, err
		}
	case len(strings.TrimSpace(string(file[:min(len(file), 64)]))) > 0 && strings.TrimSpace(string(file[:min(len(file), 64)]))[0] == ':':
		h, err := image.ReadHEX(file)
		if err != nil {
			return Parsed{}, false, err
		}
		if m, c = h.Image, chipOf(core.ATmega32U4); c == nil {
			return Parsed{}, false, ErrNotImage
		}
	default:
		return Parsed{}, false, ErrNotImage
	}
	for _, run := range m.Runs() {
		if c.Table < run.Addr || c.Table >= run.Addr+uint32(len(run.Data)) {
			continue
		}
		p, err := Read(run.Data[c.Table-run.Addr:])
		if err != nil {
			return p, false, err
		}
		if p.Table.Chip != c.id {
			return p, false, fmt.Errorf("the table in it is for %s, and the file is for %s", chipName(p.Table.Chip), c.name)
		}
		_, has := m.At(c.Start, 4)
		return p, has, nil
	}
	return Parsed{}, false, ErrNoTable
}

func chipName(id core.Chip) string {
	if c := chipOf(id); c != nil {
		return c.name
	}
	return "chip " + strconv.Itoa(int(id))
}

// Explain tells in words what an image does.
func Explain(file []byte) (Explained, error) {
	p, has, err := ReadImage(file)
	if err != nil {
		return Explained{}, err
	}
	e := ExplainTable(p)
	e.HasCore = has
	e.Format = "Intel HEX"
	if string(file[:4]) == "UF2\n" {
		e.Format = "UF2"
	}
	return e, nil
}
