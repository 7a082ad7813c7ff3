package share

import (
	"bytes"
	"encoding/base64"
	"html"
	"regexp"
	"strings"
	"testing"

	"knobwright/internal/project"
)

const src = `knobwright: 1
title: t
budget: 80 EUR   # not more
stock: stock.yaml
# my comment stays
face: {width: 200, height: 100, sheet: acrylic-3mm}
box:
  form: flat
  stock:
    - {sheet: birch-ply-9mm, size: [600, 300]}
  depth: 60
wiring:
  stock:
    - {wire: x, colour: BK, length: 3 m}
controls:
  go: {part: push-22mm, at: [50, 50], legend: "</script><b>"}
`

// What is personal is taken out, everything else stays byte for byte.
func TestBare(t *testing.T) {
	out, gone, err := Bare(project.Read("x.yaml", []byte(src)))
	if err != nil {
		t.Fatal(err)
	}
	if len(gone) != 4 {
		t.Errorf("taken out: %v", gone)
	}
	for _, not := range []string{"80 EUR", "stock", "3 m}"} {
		if bytes.Contains(out, []byte(not)) {
			t.Errorf("%q is still there:\n%s", not, out)
		}
	}
	for _, yes := range []string{"# my comment stays", "depth: 60", `legend: "</script><b>"`} {
		if !bytes.Contains(out, []byte(yes)) {
			t.Errorf("%q is lost:\n%s", yes, out)
		}
	}
	if _, gone, _ := Bare(project.Read("x.yaml", out)); len(gone) != 0 {
		t.Errorf("a bare file has still %v", gone)
	}
}

const bookHead = "<!DOCTYPE html>\n<head>\n<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; font-src data:; img-src data:\">\n<style>\n</style>\n</head>\n<body>\n<main>\n</main>\n<footer></footer>\n</body>\n</html>\n"

// The file comes back from the page just as it was, and its text cannot become markup.
func TestFileOnThePage(t *testing.T) {
	page, err := Page{Book: []byte(bookHead), Name: `a"b<c>.yaml`, Text: []byte(src)}.HTML()
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile(`data:text/yaml;base64,([^"]*)"`).FindSubmatch(page)
	if m == nil {
		t.Fatal("no link to the file")
	}
	if back, _ := base64.StdEncoding.DecodeString(string(m[1])); string(back) != src {
		t.Errorf("the file comes back as\n%s", back)
	}
	pre := regexp.MustCompile(`(?s)<pre[^>]*>(.*)</pre>`).FindSubmatch(page)
	if pre == nil || strings.Contains(string(pre[1]), "<") || html.UnescapeString(string(pre[1])) != src {
		t.Errorf("the text shown is not the file")
	}
	if strings.Contains(string(page), "script-src") || strings.Contains(string(page), "<script") {
		t.Error("a page without solids has a script")
	}
	if strings.Contains(string(page), `b<c>`) {
		t.Error("the name became markup")
	}
}

func TestForeignBook(t *testing.T) {
	if _, err := (Page{Book: []byte("<html></html>")}).HTML(); err == nil {
		t.Error("a page that is no book is taken")
	}
}
