package carcass

import "testing"

// BenchmarkDesk builds the cue desk with rebates.
func BenchmarkDesk(b *testing.B) {
	s := cueDesk()
	s.Build.Corner = Rebated
	b.ReportAllocs()
	for b.Loop() {
		if _, ps := Make(s); len(ps) > 0 {
			b.Fatal(ps)
		}
	}
}

// BenchmarkDeskFull builds a desk with hand rest, face let in, fingers, ledges, cleats, glue blocks and ribs.
func BenchmarkDeskFull(b *testing.B) {
	s := Spec{Desk, Sizes{FaceWidth: 340, FaceHeight: 200, FrontHeight: 70, Slope: 20, HandRest: 70}, Build{
		Wall: 9, Base: 6, Face: 3, HandRest: 9, Corner: Fingered, Fingers: Fingers{Width: 10}, FaceFit: In, BaseFit: Between,
		Ledge: Batten{10, 10}, Cleat: Batten{10, 10}, Blocks: Blocks{Size: 12}, Ribs: []Rib{{From: v2(170, 0), To: v2(170, 200), Width: 9, Height: 20}},
	}}
	b.ReportAllocs()
	for b.Loop() {
		if _, ps := Make(s); len(ps) > 0 {
			b.Fatal(ps)
		}
	}
}

// BenchmarkResolve settles the sizes only.
func BenchmarkResolve(b *testing.B) {
	s := cueDesk()
	for b.Loop() {
		if _, ps := Resolve(s); len(ps) > 0 {
			b.Fatal(ps)
		}
	}
}
