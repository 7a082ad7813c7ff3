package firmware

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"knobwright/internal/finding"
	"knobwright/internal/hid"
)

// sentBy gives what every piece sends, by name.
func sentBy(r Result) map[string]string {
	m := map[string]string{}
	for _, x := range r.Rows {
		m[x.Name] = x.Sends
	}
	return m
}

// aControl draws a control with a name that is not taken.
func aControl(t *rapid.T, n int) string {
	part := rapid.SampledFrom([]string{"push-16mm", "toggle-mini-2", "toggle-mini-3", "encoder-m7", "encoder-m7-push", "pot-16mm", "lamp-5mm, sends: host", "push-22mm-lit"}).Draw(t, "part")
	s := fmt.Sprintf("c%d: part: %s", n, part)
	if part == "push-16mm" {
		switch rapid.IntRange(0, 3).Draw(t, "sends") {
		case 0:
			s += fmt.Sprintf(", sends: button %d", rapid.IntRange(1, 30).Draw(t, "number"))
		case 1:
			s += ", sends: {press: button, shifted: button, long: key a}"
		case 2:
			s += ", sends: none"
		}
	}
	return s
}

// The promise of the numbers: written ones hold; what stands behind changes nothing; once kept, nothing changes whatever is put in or taken
// out anywhere.
func TestNumbersStay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var all []string
		for i := range rapid.IntRange(1, 8).Draw(t, "controls") {
			all = append(all, aControl(t, i))
		}
		before, doc := worked(desk("", all...))
		was := sentBy(before)
		// behind
		more := append(slices.Clone(all), strings.Replace(aControl(t, 90), "sends: button ", "sends: button 9", 1))
		if i := strings.Index(more[len(more)-1], "button 9"); i < 0 || !strings.Contains(more[len(more)-1][i:], "button 9") {
			after, _ := worked(desk("", more...))
			now := sentBy(after)
			for k, v := range was {
				if now[k] != v {
					t.Fatalf("%s sent %s, and with one more behind it sends %s\n%s", k, v, now[k], strings.Join(more, "\n"))
				}
			}
		}
		// kept
		src := string(doc.Src)
		for _, f := range with(before.Findings, "send.unwritten") {
			out, err := doc.Apply(f.Fixes[0].Edits)
			if err != nil {
				t.Fatalf("%v\n%s", err, src)
			}
			src = string(out)
		}
		kept, _ := worked(src)
		if now := sentBy(kept); !maps.Equal(now, was) {
			t.Fatalf("keeping the numbers changes them:\n%v\n%v\n%s", was, now, src)
		}
		if fs := with(kept.Findings, "send.unwritten"); len(fs) > 0 {
			t.Fatalf("%s\n%s", heads(fs), src)
		}
		numbers := src[strings.Index(src, "  c"):]
		if i := strings.Index(numbers, "numbers:"); i >= 0 {
			numbers = numbers[i:]
		} else {
			numbers = ""
		}
		changed := slices.Clone(all)
		gone := -1
		if len(changed) > 1 && rapid.Bool().Draw(t, "take out") {
			gone = rapid.IntRange(0, len(changed)-1).Draw(t, "which")
			changed = slices.Delete(changed, gone, gone+1)
		}
		at := rapid.IntRange(0, len(changed)).Draw(t, "where")
		newcomer := fmt.Sprintf("n%d: part: %s", 1, rapid.SampledFrom([]string{"push-16mm", "toggle-mini-3", "encoder-m7", "pot-16mm"}).Draw(t, "newcomer"))
		changed = slices.Insert(changed, at, newcomer)
		after, _ := worked(desk("", changed...) + numbers)
		now := sentBy(after)
		fresh := map[string]bool{}
		for k, v := range now {
			if strings.HasPrefix(k, "n1") {
				fresh[v] = true
			} else if was[k] != v {
				t.Fatalf("%s sent %s; after a control was put in at %d (out: %d) it sends %s\n%s", k, was[k], at, gone, v, numbers)
			}
		}
		for k, v := range was {
			name, _, _ := strings.Cut(k, "/")
			if _, stays := now[k]; fresh[v] && v != "none" && (stays || strings.Contains(numbers, name+":") || strings.Contains(numbers, k)) {
				t.Fatalf("the newcomer took %s of %s\n%s", v, k, numbers)
			}
		}
	})
}

// No two places of the reports overlap, what is written is read back the same, and every button of the table is in the descriptor.
func TestReportsHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var all []string
		for i := range rapid.IntRange(1, 10).Draw(t, "controls") {
			all = append(all, aControl(t, i))
		}
		r, _ := worked(desk(rapid.SampledFrom([]string{pico, "atmega32u4-24pin"}).Draw(t, "module"), all...))
		type span struct{ from, to int }
		spans := map[int][]span{}
		names := map[string]Place{}
		for _, x := range r.Rows {
			p := x.Place
			if p.Width == 0 {
				continue
			}
			if was, ok := names[x.Sends]; ok && was != p {
				t.Fatalf("%s stands in two places", x.Sends)
			} else if ok {
				continue
			}
			names[x.Sends] = p
			for _, s := range spans[p.Report] {
				if p.Bit < s.to && s.from < p.Bit+p.Width {
					t.Fatalf("%s at %d overlaps %v", x.Sends, p.Bit, s)
				}
			}
			spans[p.Report] = append(spans[p.Report], span{p.Bit, p.Bit + p.Width})
		}
		if r.Bytes == nil {
			if r.Chip != "" && len(r.Rows) > 0 && len(with(r.Findings, "usb.capacity"))+len(with(r.Findings, "usb.room")) == 0 && len(r.Interfaces) > 0 && r.Image.Data == nil {
				t.Logf("no table:\n%s", heads(r.Findings))
			}
			return
		}
		back, err := Read(r.Bytes)
		if err != nil || !sameTable(back.Table, r.Table) {
			t.Fatalf("%v\n%+v\n%+v", err, back.Table, r.Table)
		}
		if len(back.Reports) != len(r.Interfaces) {
			t.Fatalf("%d interfaces are read back of %d", len(back.Reports), len(r.Interfaces))
		}
		for i, x := range back.Reports {
			if x.Name != r.Interfaces[i].Name || string(x.Descriptor) != string(r.Interfaces[i].Descriptor) {
				t.Fatalf("interface %d: %s", i, x.Name)
			}
			if _, err := hid.Parse(x.Descriptor); err != nil {
				t.Fatal(err)
			}
		}
		if e, err := Explain(r.Image.Data); err != nil || e.Serial != r.Device.Serial || e.Name != "Test desk" {
			t.Fatalf("%v %+v", err, e)
		}
	})
}

func TestNumbersGiven(t *testing.T) {
	r, _ := worked(desk("", "a: part: push-16mm", "b: part: push-16mm, sends: button 1", "c: part: push-16mm", "d: part: toggle-mini-3", "e: part: pot-16mm", "f: part: pot-16mm, sends: axis x",
		"g: part: lamp-5mm, sends: host", "h: part: encoder-m7-push") + "numbers: {c: 9, gone: 3, e: slider, b: 4}\n")
	want := map[string]string{
		"a": "button 2", "b": "button 1", "c": "button 9", "d/up": "button 4", "d/down": "button 5", "e": "axis slider", "f": "axis x", "g": "host 1",
		"h/turn/right": "button 6", "h/turn/left": "button 7", "h/push": "button 8",
	}
	if got := sentBy(r); !maps.Equal(got, want) {
		t.Errorf("%v\nwant %v\n%s", got, want, heads(r.Findings))
	}
	if fs := with(r.Findings, "send.kept"); len(fs) != 1 || fs[0].Ends[0].Name != "b" || len(fs[0].Fixes) != 1 {
		t.Errorf("%s", heads(r.Findings))
	}
	if fs := with(r.Findings, "send.gap"); len(fs) != 2 || !strings.Contains(heads(fs), "Button 3 sends nothing") || !strings.Contains(heads(fs), "not on the panel: gone") {
		t.Errorf("%s", heads(fs))
	}
}

// A mirror's copies send the same kind of thing with numbers of their own; keys stay.
func TestCopiesHaveNumbersOfTheirOwn(t *testing.T) {
	r, _ := worked(desk("", "a: part: push-16mm, sends: button 7", "b: part: push-16mm, sends: key f5", "c: part: pot-16mm, sends: axis z", "l: part: lamp-5mm, sends: follows a") +
		"groups: {m: {mirror: {of: [a, b, c, l], line: upright, at: 600}}}\n")
	want := map[string]string{"a": "button 7", "b": "key f5", "c": "axis z", "l": "follows a", "a-m": "button 1", "b-m": "key f5", "c-m": "axis x", "l-m": "follows a-m"}
	if got := sentBy(r); !maps.Equal(got, want) {
		t.Errorf("%v\nwant %v\n%s", got, want, heads(r.Findings))
	}
	if fs := with(r.Findings, "send.duplicate"); len(fs) != 0 {
		t.Errorf("%s", heads(fs))
	}
}

func TestTooMany(t *testing.T) {
	var all []string
	for i := range 130 {
		all = append(all, fmt.Sprintf("b%d: part: push-16mm", i))
	}
	r, _ := worked(desk("", all...))
	fs := with(r.Findings, "send.too-many")
	if len(fs) != 1 || fs[0].Severity != finding.Stop || !strings.Contains(fs[0].Head, "128 buttons") || fs[0].Measure.Have != 130 {
		t.Errorf("%s", heads(fs))
	}
	if fs := with(r.Findings, "send.many-buttons"); len(fs) != 1 {
		t.Errorf("%s", heads(r.Findings))
	}
	all = nil
	for i := range 11 {
		all = append(all, fmt.Sprintf("p%d: part: pot-16mm", i))
	}
	r, _ = worked(desk("", all...))
	if fs := with(r.Findings, "send.too-many"); len(fs) != 1 || !strings.Contains(fs[0].Head, "P9 and P10") {
		t.Errorf("%s", heads(r.Findings))
	}
	if fs := with(r.Findings, "send.many-axes"); len(fs) != 1 {
		t.Errorf("%s", heads(r.Findings))
	}
}
