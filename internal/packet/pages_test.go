package packet

import (
	"strings"
	"testing"
)

// Every PDF keeps its pages, so that a page can show them where no reader of PDF is at hand.
func TestPDFsKeepTheirPages(t *testing.T) {
	docs := get(t, "first-panel").docs
	n := 0
	for _, d := range docs {
		pdf := strings.HasSuffix(d.Name, ".pdf")
		if pdf != (len(d.Pages) > 0) {
			t.Errorf("%s keeps %d pages", d.Name, len(d.Pages))
		}
		if pdf {
			n++
		}
	}
	if n < 8 {
		t.Errorf("only %d PDFs", n)
	}
}
