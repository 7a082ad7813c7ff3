package image

import (
	"bytes"
	"encoding/binary"
	"errors"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"knobwright/internal/witness"
)

var toRP2040 = UF2Options{Family: RP2040, Sector: 4096, Fill: 0xFF}

// coreAndTable is an image as a chip gets it: a core at the start of flash, a table in a sector of its own.
func coreAndTable(t testing.TB) Image {
	t.Helper()
	return place(t, Piece{"core", 0x10000000, count(7900)}, Piece{"table", 0x1000F000, count(353)})
}

// TestPublishedUF2 holds the fields of a written block, families, flags and tag bytes against the UF2 specification.
func TestPublishedUF2(t *testing.T) {
	tags := []Tag{{TagVersion, []byte("0.1.2")}, {TagDevice, []byte("ACME Toaster mk3")}}
	file, err := WriteUF2(place(t, Piece{"", 0x10000000, count(256)}), UF2Options{Family: RP2040})
	if err != nil || len(file) != 512 {
		t.Fatalf("%d bytes, %v", len(file), err)
	}
	tagged, err := tagBytes(tags)
	if err != nil {
		t.Fatal(err)
	}
	flags := map[string]Flag{
		"not_main_flash": NotMainFlash, "file_container": FileContainer, "family_id_present": HasFamily, "md5_present": HasMD5,
		"extension_tags": HasTags,
	}
	families := map[string]Family{
		"RP2040": RP2040, "RP2XXX_ABSOLUTE": RP2XXXAbsolute, "RP2XXX_DATA": RP2XXXData, "RP2350_ARM_S": RP2350ArmS,
		"RP2350_RISCV": RP2350RISCV, "RP2350_ARM_NS": RP2350ArmNS, "ATmega32": ATmega32,
	}
	for _, r := range witness.Sure(t, "testdata/uf2.csv") {
		number, _ := strconv.ParseUint(r["value"], 0, 32)
		offset, _ := strconv.Atoi(r["offset"])
		switch r["kind"] {
		case "uf2_field":
			if strings.HasPrefix(r["name"], "magic") && binary.LittleEndian.Uint32(file[offset:]) != uint32(number) {
				t.Errorf("%s: % X", r["name"], file[offset:offset+4])
			}
			if r["name"] == "data" && (!bytes.Equal(file[offset:offset+256], count(256)) || r["size"] != strconv.Itoa(MaxPayload)) {
				t.Errorf("the data does not lie at byte %d", offset)
			}
			if r["name"] == "data" && !bytes.Equal(file[offset+256:508], make([]byte, MaxPayload-256)) {
				t.Error("the room after the data is not filled with zeros, as the format's table of fields has it")
			}
		case "uf2_flag":
			if f, ok := flags[r["name"]]; !ok || f != Flag(number) {
				t.Errorf("%s is 0x%X", r["name"], uint32(f))
			}
		case "uf2_family":
			if f, ok := families[r["name"]]; !ok || f != Family(number) || f.String() != r["name"] {
				t.Errorf("%s is 0x%X, %s", r["name"], uint32(f), f)
			}
		case "uf2_example":
			want := unhex(t, r["value"])
			got := map[string][]byte{
				"extension tag version 0.1.2":           tagged[:12],
				"extension tag device ACME Toaster mk3": tagged[12:32],
				"last tag":                              tagged[32:],
				"first 32 bytes, RP2040, address 0x10000000, 256 bytes, block 0 of 1": file[:32],
				"last 4 bytes of every block":                                         file[508:],
			}[r["name"]]
			if !bytes.Equal(got, want) {
				t.Errorf("%s: % X, want % X", r["name"], got, want)
			}
		}
	}
	o := toRP2040
	o.Tags = tags
	if file, err = WriteUF2(coreAndTable(t), o); err != nil {
		t.Fatal(err)
	}
	u, err := ReadUF2(file)
	if err != nil || len(u.Blocks[5].Tags) != 2 || string(u.Blocks[5].Tags[1].Data) != "ACME Toaster mk3" || u.Blocks[5].Tags[0].Type != TagVersion {
		t.Errorf("tags read back as %v, %v", u.Blocks[5].Tags, err)
	}
}

// plainUF2 is a second reader, written from the specification's table without a look at the first: address to byte.
func plainUF2(file []byte) map[uint32]byte {
	le := func(b []byte) (v uint32) {
		for i := len(b) - 1; i >= 0; i-- {
			v = v*256 + uint32(b[i])
		}
		return v
	}
	out := map[uint32]byte{}
	for ; len(file) >= 512; file = file[512:] {
		if string(file[:4]) != "UF2\n" || le(file[4:8]) != 0x9E5D5157 || le(file[508:512]) != 0x0AB16F30 {
			continue
		}
		if le(file[8:12])%2 == 1 || le(file[28:32]) != 0xE48BFF56 {
			continue
		}
		for i := range le(file[16:20]) {
			out[le(file[12:16])+i] = file[32+i]
		}
	}
	return out
}

// bootROM does what the boot ROM of RP2040 does with blocks as they come in: it erases the sector that a block addresses when no block
// of its group of 16 numbers has come before, then writes. Flash that was not erased first only loses bits. Source: issue 19 of the
// boot ROM's source.
func bootROM(flash []byte, blocks []Block) {
	erased := map[uint32]bool{}
	for _, b := range blocks {
		at := b.Addr - 0x10000000
		if group := b.Number / 16; !erased[group] {
			erased[group] = true
			for i := range uint32(4096) {
				flash[at/4096*4096+i] = 0xFF
			}
		}
		for i, x := range b.Data {
			flash[at+uint32(i)] &= x
		}
	}
}

// TestWriteUF2: random images are found whole by the second reader and by the first; every address beside them holds the fill; the
// file passes the check; and the boot ROM's way of writing gives the image, in whatever order the blocks come, over old flash.
func TestWriteUF2(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		m, want := drawImage(rt, 0x10000000)
		file, err := WriteUF2(m, toRP2040)
		if err != nil {
			rt.Fatalf("%v", err)
		}
		u, err := ReadUF2(file)
		if err != nil {
			rt.Fatalf("%v", err)
		}
		if p := u.Check(FlashRP2040); len(p) > 0 {
			rt.Fatalf("%v", p)
		}
		back, err := u.Image(RP2040)
		if err != nil || !back.Holds(m) {
			rt.Fatalf("reads back as something else, %v", err)
		}
		for a, b := range plainUF2(file) {
			if w, ok := want[a]; ok && b != w || !ok && b != 0xFF {
				rt.Fatalf("0x%X holds %d", a, b)
			}
			delete(want, a)
		}
		if len(want) > 0 {
			rt.Fatalf("%d bytes are not in the file", len(want))
		}
		seed := rapid.Uint64().Draw(rt, "order")
		rand.New(rand.NewPCG(seed, 1)).Shuffle(len(u.Blocks), func(i, k int) { u.Blocks[i], u.Blocks[k] = u.Blocks[k], u.Blocks[i] })
		flash := make([]byte, 1<<20)
		bootROM(flash, u.Blocks)
		for _, r := range m.Runs() {
			if at := r.Addr - 0x10000000; !bytes.Equal(flash[at:int(at)+len(r.Data)], r.Data) {
				rt.Fatalf("the flash does not hold the run at 0x%X", r.Addr)
			}
		}
	})
}

// TestSectorRule: without whole sectors the boot ROM loses data, and the check says so.
func TestSectorRule(t *testing.T) {
	m := place(t, Piece{"core", 0x10000000, count(300)}, Piece{"table", 0x1000F000, count(300)})
	file, err := WriteUF2(m, UF2Options{Family: RP2040}) // sectors of one block: four blocks, all of one group
	if err != nil {
		t.Fatal(err)
	}
	u, err := ReadUF2(file)
	if err != nil {
		t.Fatal(err)
	}
	flash := make([]byte, 1<<20)
	bootROM(flash, u.Blocks)
	if bytes.Equal(flash[0xF000:0xF000+300], count(300)) {
		t.Error("the boot ROM's fault does not show; this test tests nothing")
	}
	found := false
	for _, p := range u.Check(FlashRP2040) {
		found = found || strings.Contains(p.Text, "the chip would not erase it")
	}
	if !found {
		t.Errorf("the check says %v", u.Check(FlashRP2040))
	}
	file, err = WriteUF2(m, toRP2040)
	if err != nil || len(file) != 2*16*512 {
		t.Errorf("%d bytes, %v; want two sectors of 16 blocks", len(file), err)
	}
}

// TestCheck: every kind of damage is seen, and said at its block.
func TestCheck(t *testing.T) {
	file, err := WriteUF2(coreAndTable(t), toRP2040)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name   string
		damage func(u *UF2)
		block  int
		says   string
	}{
		{"other chip", func(u *UF2) { u.Blocks[3].Family = RP2350ArmS }, 3, "it is for RP2350_ARM_S, not for RP2040"},
		{"no family", func(u *UF2) { u.Blocks[3].Flags = 0 }, 3, "does not say what chip"},
		{"file of a file system", func(u *UF2) { u.Blocks[3].Flags |= FileContainer }, 3, "file system"},
		{"crooked", func(u *UF2) { u.Blocks[3].Addr += 4 }, 3, "not a multiple of 256"},
		{"outside", func(u *UF2) { u.Blocks[3].Addr = 0x20000000 }, 3, "outside the flash"},
		{"below", func(u *UF2) { u.Blocks[3].Addr = 0x0FFFFF00 }, 3, "outside the flash"},
		{"short", func(u *UF2) { u.Blocks[3].Data = u.Blocks[3].Data[:128] }, 3, "128 bytes"},
		{"empty", func(u *UF2) { u.Blocks[3].Data = nil }, 3, "no bytes"},
		{"missing", func(u *UF2) { u.Blocks = slices.Delete(u.Blocks, 7, 8) }, -1, "1 of 48 blocks are missing, the first of them number 7"},
		{"cut", func(u *UF2) { u.Blocks = u.Blocks[:20] }, -1, "28 of 48 blocks are missing, the first of them number 20"},
		{"double", func(u *UF2) { u.Blocks = append(u.Blocks, u.Blocks[9]) }, 48, "number 9 again"},
		{"number", func(u *UF2) { u.Blocks[3].Number = 48 }, 3, "number 48 of 48"},
		{"total", func(u *UF2) { u.Blocks[3].Total = 47 }, 3, "47 blocks"},
		{"overlap", func(u *UF2) { u.Blocks[3].Addr -= 256 }, 3, "block 2 of the file writes too"},
		{"overlap by a byte", func(u *UF2) { u.Blocks[3].Addr-- }, 3, "block 2 of the file writes too"},
		{"two sectors of a group", func(u *UF2) { u.Blocks[3].Addr = 0x10020000 }, 3, "another sector"},
		{"two groups of a sector", func(u *UF2) { u.Blocks[3].Number, u.Blocks[20].Number = u.Blocks[20].Number, u.Blocks[3].Number }, 3, "two groups"},
		{"none", func(u *UF2) { u.Blocks = nil }, -1, "no block for RP2040"},
	} {
		u, err := ReadUF2(file)
		if err != nil {
			t.Fatal(err)
		}
		if p := u.Check(FlashRP2040); len(p) > 0 {
			t.Fatalf("sound: %v", p)
		}
		c.damage(&u)
		found := false
		all := u.Check(FlashRP2040)
		for _, p := range all {
			found = found || p.Block == c.block && strings.Contains(p.Text, c.says)
		}
		if !found {
			t.Errorf("%s: %v, want block %d and %q", c.name, all, c.block, c.says)
		}
	}
	u, _ := ReadUF2(file)
	u.Blocks = append(u.Blocks, Block{Flags: NotMainFlash, Addr: 1, Data: []byte("a comment")})
	if p := u.Check(FlashRP2040); len(p) > 0 {
		t.Errorf("a comment: %v", p)
	}
}

// TestReadUF2Refuses: what is no UF2 file says at which block.
func TestReadUF2Refuses(t *testing.T) {
	file, err := WriteUF2(coreAndTable(t), toRP2040)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name  string
		file  func(f []byte) []byte
		block int
		says  string
	}{
		{"empty", func([]byte) []byte { return nil }, 0, "empty"},
		{"cut within a block", func(f []byte) []byte { return f[:1000] }, 1, "488 of the block's 512"},
		{"first mark", func(f []byte) []byte { f[1024]++; return f }, 2, "mark 0x0A324655"},
		{"second mark", func(f []byte) []byte { f[1028]++; return f }, 2, "mark 0x9E5D5157"},
		{"last mark", func(f []byte) []byte { f[1024+511]++; return f }, 2, "mark 0x0AB16F30"},
		{"payload", func(f []byte) []byte { f[1024+16] = 0xDD; return f }, 2, "477 bytes"},
		{"tag", func(f []byte) []byte { f[1024+9] |= 0x80; f[1024+32+256] = 3; return f }, 2, "a tag of 3 bytes"},
		{"long tag", func(f []byte) []byte { f[1024+9] |= 0x80; f[1024+32+256] = 0xFE; return f }, 2, "a tag of 254 bytes"},
	} {
		_, err := ReadUF2(c.file(slices.Clone(file)))
		var e *Error
		if !errors.As(err, &e) || e.At != c.block || e.Unit != "block" || !strings.Contains(e.Text, c.says) {
			t.Errorf("%s: %v, want block %d and %q", c.name, err, c.block, c.says)
		}
	}
	for name, o := range map[string]UF2Options{
		"sector of 100": {Sector: 100}, "sector of 300": {Sector: 300}, "tag type": {Tags: []Tag{{0x1000000, nil}}},
		"tag length": {Tags: []Tag{{1, count(251)}}}, "tags in all": {Tags: []Tag{{1, count(120)}, {2, count(120)}}},
	} {
		if _, err := WriteUF2(coreAndTable(t), o); err == nil {
			t.Errorf("%s is taken", name)
		}
	}
	if _, err := WriteUF2(Image{}, toRP2040); err == nil {
		t.Error("an empty image is written")
	}
}

func FuzzReadUF2(f *testing.F) {
	file, err := WriteUF2(coreAndTable(f), toRP2040)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(file[:1024])
	f.Add(file[:1000])
	o := toRP2040
	o.Tags = []Tag{{TagVersion, []byte("0.1.2")}}
	if file, err = WriteUF2(place(f, Piece{"", 0x10000000, count(10)}), o); err != nil {
		f.Fatal(err)
	}
	f.Add(file)
	f.Fuzz(func(t *testing.T, file []byte) {
		u, err := ReadUF2(file)
		if err != nil {
			var e *Error
			if !errors.As(err, &e) || e.At > len(file)/BlockSize {
				t.Fatal(err)
			}
			return
		}
		if len(u.Blocks)*BlockSize != len(file) {
			t.Fatalf("%d blocks in %d bytes", len(u.Blocks), len(file))
		}
		problems := u.Check(FlashRP2040)
		m, err := u.Image(RP2040)
		if len(problems) == 0 && (err != nil || m.Len() == 0) {
			t.Fatalf("no problem, but %d bytes, %v", m.Len(), err)
		}
	})
}
