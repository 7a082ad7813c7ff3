package hid

import (
	"bytes"
	"fmt"
	"reflect"
	"testing"

	"pgregory.net/rapid"
)

// randomField draws a field that means something: usages of any page, a range that fits its bits.
func randomField(t *rapid.T) Field {
	f := Field{
		Size:  rapid.IntRange(1, 32).Draw(t, "size"),
		Count: rapid.IntRange(1, 12).Draw(t, "count"),
		Flags: Flags(rapid.Uint32Range(0, 0x1FF).Draw(t, "flags")),
		Unit:  rapid.SampledFrom([]Unit{NoUnit, Degrees, Centimetre, 0x1_0000_11 >> 4}).Draw(t, "unit"),
	}
	lo := int64(0)
	hi := int64(1)<<min(f.Size, 31) - 1
	if rapid.Bool().Draw(t, "signed") && f.Size > 1 {
		lo = -1 << (f.Size - 1)
		hi = 1<<(f.Size-1) - 1
	}
	a := rapid.Int64Range(lo, hi).Draw(t, "a")
	b := rapid.Int64Range(lo, hi).Draw(t, "b")
	f.LogicalMin, f.LogicalMax = int32(min(a, b)), int32(max(a, b))
	if rapid.Bool().Draw(t, "physical") {
		f.PhysicalMin = rapid.Int32Range(-1000, 0).Draw(t, "from")
		f.PhysicalMax = rapid.Int32Range(1, 100000).Draw(t, "to")
		f.Exponent = rapid.IntRange(-8, 7).Draw(t, "exponent")
	}
	for range rapid.IntRange(0, 4).Draw(t, "usages") {
		page := rapid.SampledFrom([]uint16{PageDesktop, PageSimulation, PageButton, PageConsumer, 0xFF07}).Draw(t, "page")
		first := rapid.Uint16Range(1, 0x300).Draw(t, "first")
		more := rapid.SampledFrom([]uint16{0, 0, 1, 5, 40}).Draw(t, "more")
		f.Usages = append(f.Usages, Span{Min: U(page, first), Max: U(page, first+more)})
	}
	return f
}

// randomBuilder draws a descriptor of one or two outermost collections, with report numbers or without, nested and pushed at random.
func randomBuilder(t *rapid.T) *Builder {
	b := &Builder{}
	numbered := rapid.Bool().Draw(t, "numbered")
	tops := 1
	if numbered {
		tops = rapid.IntRange(1, 3).Draw(t, "tops")
	}
	id := uint8(1)
	for range tops {
		b.Begin(Application, rapid.SampledFrom([]Usage{JoystickUsage, KeyboardUsage, U(PageVendor, 1)}).Draw(t, "top"))
		if numbered {
			b.ID(id)
			id++
		}
		for range rapid.IntRange(1, 6).Draw(t, "fields") {
			kind := rapid.SampledFrom([]Kind{Input, Input, Output, Feature}).Draw(t, "kind")
			switch rapid.IntRange(0, 5).Draw(t, "dress") {
			case 0:
				b.Begin(Physical, Pointer)
				b.Field(kind, randomField(t))
				b.End()
			case 1:
				b.Push()
				b.Field(kind, randomField(t))
				b.Pop()
			case 2:
				b.Fill(kind)
			default:
				b.Field(kind, randomField(t))
			}
		}
		b.End()
	}
	return b
}

// TestBuildParseBuild: a random descriptor reads back as what was built (Finish compares every field), its items give the same bytes,
// and building it once more from what was read says the same.
func TestBuildParseBuild(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		desc, d, err := randomBuilder(rt).Finish()
		if err != nil {
			rt.Fatalf("%v", err)
		}
		again, err := Bytes(d.Items)
		if err != nil || !bytes.Equal(again, desc) {
			rt.Fatalf("% X gives % X, %v", desc, again, err)
		}
		var b Builder
		rebuild(&b, d)
		second, e, err := b.Finish()
		if err != nil {
			rt.Fatalf("rebuilt: %v", err)
		}
		if got, want := reportsText(e), reportsText(d); got != want {
			rt.Fatalf("rebuilt:\n%s\nwant\n%s", got, want)
		}
		var c Builder
		rebuild(&c, e)
		third, _, err := c.Finish()
		if err != nil || !bytes.Equal(second, third) {
			rt.Fatalf("rebuilt once more: % X, %v; want % X", third, err, second)
		}
	})
}

// rebuild writes what a descriptor says in a plain form: each report's fields in one collection of the outermost's kind.
func rebuild(b *Builder, d *Descriptor) {
	var top *Collection
	for _, r := range d.Reports {
		if c := r.Fields[0].Collection.Top(); c != top {
			if top != nil {
				b.End()
			}
			top = c
			b.Begin(c.Kind, c.Usage)
		}
		b.number(r.ID)
		for _, f := range r.Fields {
			b.Field(r.Kind, f)
		}
	}
	if top != nil {
		b.End()
	}
}

func reportsText(d *Descriptor) string {
	s := ""
	for _, r := range d.Reports {
		s += fmt.Sprintf("%s %d %d\n", r.Kind, r.ID, r.Bits)
		for _, f := range r.Fields {
			f.Collection, f.At = nil, 0
			s += fmt.Sprintf("  %+v\n", f)
		}
	}
	return s
}

// TestValuesBitExact writes random values into random fields and reads them back; all other bits stay as they were. The expected bits
// are set one by one from the definition: bit n of a value lies at bit offset + i*size + n.
func TestValuesBitExact(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		f := randomField(rt)
		f.Flags |= NullState
		f.Offset = rapid.IntRange(0, 70).Draw(rt, "offset")
		n := (f.Offset + f.Bits() + 7) / 8
		report := rapid.SliceOfN(rapid.Byte(), n, n).Draw(rt, "report")
		i := rapid.IntRange(0, f.Count-1).Draw(rt, "control")
		lo, hi := f.room()
		v := rapid.Int64Range(lo, hi).Draw(rt, "value")
		want := make([]bool, 8*n)
		for k := range want {
			want[k] = report[k/8]>>(k%8)&1 == 1
		}
		for k := range f.Size {
			want[f.Offset+i*f.Size+k] = uint64(v)>>k&1 == 1
		}
		if err := f.SetValue(report, i, v); err != nil {
			rt.Fatalf("%v", err)
		}
		for k := range want {
			if got := report[k/8]>>(k%8)&1 == 1; got != want[k] {
				rt.Fatalf("bit %d is %v", k, got)
			}
		}
		if got, err := f.Value(report, i); err != nil || got != v {
			rt.Fatalf("reads %d, %v; want %d", got, err, v)
		}
		for _, bad := range []int64{lo - 1, hi + 1} {
			if err := f.SetValue(report, i, bad); err == nil {
				rt.Fatalf("%d was taken into %d bits", bad, f.Size)
			}
		}
	})
}

// drawn is a joystick and the state of its controls.
type drawn struct {
	Joystick
	controls []Control
}

func drawJoystick(rt *rapid.T) drawn {
	j := Joystick{
		ID:      rapid.Uint8Range(1, 100).Draw(rt, "id"),
		Buttons: rapid.IntRange(0, MaxButtons).Draw(rt, "buttons"),
		Hats:    rapid.IntRange(0, MaxHats).Draw(rt, "hats"),
	}
	axes := []Usage{X, Y, Z, Rx, Ry, Rz, Slider, Dial}
	for _, u := range axes[:rapid.IntRange(1, len(axes)).Draw(rt, "axes")] {
		a := Axis{Usage: u, Min: rapid.Int32Range(-70000, 5).Draw(rt, "min"), Flags: rapid.SampledFrom([]Flags{0, Relative, Wrap}).Draw(rt, "f")}
		a.Max = a.Min + rapid.Int32Range(1, 70000).Draw(rt, "width")
		j.Axes = append(j.Axes, a)
	}
	var controls []Control
	for n := range j.Buttons {
		controls = append(controls, Control{Usage: Button(n + 1), Value: rapid.Int64Range(0, 1).Draw(rt, "button")})
	}
	for range j.Hats {
		v := rapid.Int64Range(0, 8).Draw(rt, "hat")
		controls = append(controls, Control{Usage: HatSwitch, Value: v, Null: v == 8})
	}
	for _, a := range j.Axes {
		controls = append(controls, Control{Usage: a.Usage, Value: int64(rapid.Int32Range(a.Min, a.Max).Draw(rt, "axis"))})
	}
	return drawn{j, controls}
}

// TestEncodeDecode: what a random joystick's report says is what was put into it, with a report number and without.
func TestEncodeDecode(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		j := drawJoystick(rt)
		if rapid.Bool().Draw(rt, "alone") {
			j.ID = 0
		}
		_, d, err := Build(j.Joystick)
		if err != nil {
			rt.Fatalf("%v", err)
		}
		wire, err := d.Encode(Input, j.ID, j.controls)
		if err != nil {
			rt.Fatalf("%v", err)
		}
		if r := d.Report(Input, j.ID); len(wire) != r.WireBytes() {
			rt.Fatalf("%d bytes, want %d", len(wire), r.WireBytes())
		}
		got, err := d.Decode(Input, wire)
		if err != nil || !reflect.DeepEqual(got, j.controls) {
			rt.Fatalf("%v, %v; want %v", got, err, j.controls)
		}
	})
}
