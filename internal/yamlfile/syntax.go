package yamlfile

import (
	"bytes"
	"errors"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/finding"
)

// plain gives, for what the YAML reader says, what a person would say. open: the place to look is where the thing began.
var plain = []struct {
	match, context string
	say, hint      string
	open           bool
}{
	{"mapping values are not allowed", "", "A colon stands here where no new value can begin.",
		"put a text that holds a colon into quotes, or begin a new line, indented like its neighbours", false},
	{"unexpected end of stream", "quoted scalar", "A quote is opened here and never closed.", "close it, or double it if it belongs to the text", true},
	{"document indicator", "quoted scalar", "A quote is opened here and never closed.", "close it, or double it if it belongs to the text", true},
	{"expected ',' or ']'", "", "A [ is opened here, and what follows is not a list closed by ].", "look for a missing ] or comma", true},
	{"expected ',' or '}'", "", "A { is opened here, and what follows is not closed by }.", "look for a missing } or comma", true},
	{"expected node content", "", "A value is missing here.", "look for a comma too many or a bracket left open", false},
	{"expected '-' indicator", "", "This line does not go on with the list above it.", "indent it like the list's owner, or begin it with a dash", false},
	{"expected key", "", "This line does not line up with the lines above it.", "give it the same indentation as its neighbours", false},
	{"block sequence entries are not allowed", "", "A dash begins a list here, but a list must begin on a line of its own.", "", false},
	{"could not find expected ':'", "", "A colon is missing here.", "write a colon and a space after each key", true},
	{"unknown anchor", "", "This name with a star refers to nothing above it.", "put a text that begins with a star into quotes", false},
	{"unknown escape", "", "A backslash in double quotes begins something unknown.", "double the backslash, or use single quotes", false},
	{"expected <document start>", "", "Something stands here after the end of the values.", "look for a bracket too many, or a line that is not indented", false},
	{"comment without preceding whitespace", "", "A # must have a space before it to begin a comment.", "", false},
}

// syntax turns the YAML reader's error into a problem with its own position.
func (d *Decoder) syntax(err error, text []byte) {
	p := Problem{Rule: "file.syntax", Pos: finding.Pos{File: d.File, Line: 1, Column: 1, Length: 1},
		Say: "The file cannot be read as YAML: " + sentence(strings.TrimPrefix(err.Error(), "yaml: ")), Hint: "often a missing space after a colon, or a bracket left open"}
	var le *yaml.LoadError
	if errors.As(err, &le) {
		at, from := le.Mark, le.ContextMark
		if at.Line == 0 {
			at = from
		}
		p.Say = "The file cannot be read as YAML here: " + sentence(le.Message)
		switch tab := byteAt(text, at.Line, at.Column); {
		case strings.Contains(le.Message, "max depth"):
			p.Rule, p.Say, p.Hint = "file.too-deep", "The file nests too deep here.", "look for brackets that are opened and never closed"
		case strings.Contains(le.Message, "tab") || strings.Contains(le.Message, "cannot start any token") && tab == '\t':
			p.Say, p.Hint = "A tab stands here where spaces are wanted.", "set the editor to write spaces"
		case strings.Contains(le.Message, "cannot start any token"):
			p.Say, p.Hint = "A text cannot begin with this sign.", "put it into quotes"
		default:
			for _, w := range plain {
				if strings.Contains(le.Message, w.match) && strings.Contains(le.ContextMsg, w.context) {
					p.Say, p.Hint = w.say, w.hint
					if w.open && from.Line > 0 {
						at = from
					}
					break
				}
			}
		}
		if at.Line > 0 {
			p.Pos.Line, p.Pos.Column = at.Line, max(at.Column, 1)
		}
		if last := bytes.Count(text, []byte("\n")) + 1; p.Pos.Line > last {
			p.Pos.Line, p.Pos.Column = last, 1
		}
	}
	p.Pos.Line += d.LineOff
	d.add(p)
}

// byteAt gives the byte at a line and column (both from 1, columns in characters), 0 when there is none.
func byteAt(text []byte, line, col int) byte {
	for ; line > 1; line-- {
		i := bytes.IndexByte(text, '\n')
		if i < 0 {
			return 0
		}
		text = text[i+1:]
	}
	for ; col > 1 && len(text) > 0; col-- {
		_, n := utf8.DecodeRune(text)
		text = text[n:]
	}
	if len(text) == 0 {
		return 0
	}
	return text[0]
}
