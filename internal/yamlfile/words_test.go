package yamlfile_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/yamlfile"
)

func TestNearest(t *testing.T) {
	list := []string{"part", "at", "turn", "shift", "legend", "sends", "adjust", "knob", "pinned", "note"}
	for _, c := range []struct{ slip, want string }{
		{"legand", "legend"}, {"lgeend", "legend"}, {"Legend", "legend"}, {"parts", "part"}, {"ta", "at"}, {"turned", "turn"}, {"ajust", "adjust"},
		{"colour", ""}, {"x", ""}, {"", ""}, {"wide", ""}, {strings.Repeat("legend", 9), ""},
	} {
		if got := yamlfile.Nearest(c.slip, list); got != c.want {
			t.Errorf("%q: got %q, want %q", c.slip, got, c.want)
		}
	}
}

func TestGoodName(t *testing.T) {
	for s, want := range map[string]bool{
		"go": true, "ø-1": true, "日本": true, "e\u0301": true, "a_b-3": true, "12": true, strings.Repeat("a", 60): true,
		"": false, "a b": false, "a.b": false, "a/b": false, "a:": false, "\xff": false, strings.Repeat("a", 61): false, strings.Repeat("ø", 60): true,
	} {
		if yamlfile.GoodName(s) != want {
			t.Errorf("%q: want %v", s, want)
		}
	}
}

// What is quoted reads back as the same text wherever it stands, and what people write often is not quoted.
func TestQuote(t *testing.T) {
	for _, s := range []string{"GO", "push-16mm", "2.9 mm", "1/8 in", "3/4-40 UNS", "M7x0.75", "Größe ø 7", "it's", "HOUSE LIGHTS", "button 1", "±0.1"} {
		want := s
		if s == "±0.1" {
			want = `"±0.1"`
		}
		if got := yamlfile.Quote(s); got != want {
			t.Errorf("%q came out as %s", s, got)
		}
	}
	r := rand.New(rand.NewPCG(3, 4))
	alphabet := []rune("ab1 0.-+:#,[]{}&*!|>'\"%@`~?=<\\\n\t\r/eEnNyYx_ø°″日\u00a0\u2028\ufeff\x01\x7f\u0085")
	odd := []string{"", "null", "Null", "~", "true", "yes", "No", "on", "1", "1.5", "0x1f", "1e3", ".inf", "-.INF", ".nan", "2001-01-01", "<<", "=", "- a", "a: b", "a #b", "---", "...", "0o7", "1_000", "1:30", "+1", "-", "?", ":"}
	for i := range 6000 {
		var s string
		if i < len(odd) {
			s = odd[i]
		} else {
			for range r.IntN(8) {
				s += string(alphabet[r.IntN(len(alphabet))])
			}
		}
		q := yamlfile.Quote(s)
		for _, doc := range []string{"k: " + q + "\n", "k: [" + q + ", x]\n", "k: {a: " + q + "}\n", "- " + q + " # c\n", q + "\n"} {
			var n yaml.Node
			if err := yaml.Load([]byte(doc), &n); err != nil {
				t.Fatalf("%q as %s: %v", s, doc, err)
			}
			x := n.Content[0]
			for len(x.Content) > 0 {
				if x.Kind == yaml.MappingNode {
					x = x.Content[1]
				} else {
					x = x.Content[0]
				}
			}
			if x.Tag != "!!str" || x.Value != s {
				t.Fatalf("%q as %s reads back as %s %q", s, doc, x.Tag, x.Value)
			}
		}
	}
}

// A value kept without judging it prints as flow text that says the same.
func TestAnyText(t *testing.T) {
	for src, want := range map[string]string{
		"v: button 1":                           "button 1",
		"v:\n  turn: [button 2, 'a, b']\n  x: ": `{turn: [button 2, "a, b"], x: null}`,
		"v: &a [1, 2.50, ~, yes, true, '1']":    `[1, 2.50, null, "yes", true, "1"]`,
		"v: {a: &b x, c: *b}":                   `{a: x, c: x}`,
		"v: |\n  one\n  two\n":                  `"one\ntwo\n"`,
		"w: 1":                                  "",
	} {
		var v struct {
			V yamlfile.Any `yaml:"v"`
			W int          `yaml:"w"`
		}
		d := &yamlfile.Decoder{}
		d.Decode(d.Parse([]byte(src)), &v, "")
		if got := v.V.Text(); got != want || len(d.Problems) > 0 {
			t.Errorf("%s: got %s, want %s %v", src, got, want, d.Problems)
		}
	}
}

// A decoder for a slice of a larger file counts lines from there, and decoding goes over what is there already.
func TestDecodeOver(t *testing.T) {
	type part struct {
		Title string                     `yaml:"title" jsonschema:"required"`
		Size  [2]float64                 `yaml:"size"`
		Lugs  yamlfile.Ordered[[]string] `yaml:"lugs"`
		Trust map[string]struct {
			Text string `yaml:"text"`
		} `yaml:"trust"`
	}
	v := part{Title: "Button", Size: [2]float64{1, 2}}
	v.Lugs.Set("a", []string{"x"})
	d := &yamlfile.Decoder{File: "f", LineOff: 100}
	d.Decode(d.Parse([]byte("title:\nlugs: {b: y}\ntrust: {hole: {text: t, txet: u}}\nsize: [3, x]\n")), &v, "parts.p")
	if v.Title != "Button" || v.Size != [2]float64{1, 2} || len(v.Lugs.Keys) != 2 || v.Lugs.Get("b")[0] != "y" || v.Trust["hole"].Text != "t" {
		t.Errorf("%+v", v)
	}
	if p := d.Pos["parts.p.trust.hole.text"]; p.Line != 103 || p.File != "f" {
		t.Errorf("%+v", p)
	}
	var got []string
	for _, p := range d.Problems {
		got = append(got, p.Rule)
		if p.Pos.Line < 101 {
			t.Errorf("%+v", p)
		}
	}
	if s := strings.Join(got, " "); s != "file.no-value file.unknown-key file.not-a-number" {
		t.Error(s)
	}
}
