package packet

import (
	"fmt"
	"runtime"
	"sync"

	"knobwright/internal/drawing"
)

// tray gathers the papers that one worker makes.
type tray struct {
	docs   []Doc
	failed error
}

func (t *tray) add(name, about string, data []byte, err error) {
	if err != nil && t.failed == nil {
		t.failed = fmt.Errorf("%s: %w", name, err)
	}
	t.docs = append(t.docs, Doc{Name: name, About: about, Data: data})
}

func (t *tray) pdf(name, about string, doc *drawing.Document) {
	if doc == nil || t.failed != nil {
		return
	}
	data, err := drawing.PDF(doc)
	t.add(name, about, data, err)
	t.docs[len(t.docs)-1].Pages = doc.Pages
}

// atOnce lets as many workers as there are processors make the papers, and gives all of them in the order of the list.
func atOnce(list []func(*tray)) ([]Doc, error) {
	trays := make([]tray, len(list))
	var wait sync.WaitGroup
	next := make(chan int)
	for range min(runtime.GOMAXPROCS(0), len(list)) {
		wait.Go(func() {
			for i := range next {
				list[i](&trays[i])
			}
		})
	}
	for i := range list {
		next <- i
	}
	close(next)
	wait.Wait()
	var docs []Doc
	for _, t := range trays {
		if t.failed != nil {
			return nil, t.failed
		}
		docs = append(docs, t.docs...)
	}
	return docs, nil
}
