package hid

import (
	"encoding/hex"
	"strconv"
	"strings"
	"testing"

	"knobwright/internal/witness"
)

func unhex(t testing.TB, s string) []byte {
	t.Helper()
	b, err := hex.DecodeString(strings.ReplaceAll(s, " ", ""))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// published gives a descriptor of the reference table by its name.
func published(t testing.TB, name string) []byte {
	t.Helper()
	for _, r := range witness.Table(t, "testdata/hid_descriptors.csv") {
		if r["name"] == name {
			return unhex(t, r["hex"])
		}
	}
	t.Fatalf("no descriptor %s", name)
	return nil
}

// TestItemTable holds the item names, types and prefixes against HID 1.11, 6.2.2.
func TestItemTable(t *testing.T) {
	seen := map[Kind]bool{}
	for _, r := range witness.Sure(t, "testdata/hid_items.csv") {
		n, err := strconv.ParseUint(strings.TrimPrefix(r["prefix_size0"], "0x"), 16, 8)
		if err != nil {
			t.Fatal(err)
		}
		k := Kind(n)
		seen[k] = true
		if k.String() != r["item"] {
			t.Errorf("0x%02X is %q, want %q", n, k, r["item"])
		}
		want := map[string]Type{"main": Main, "global": Global, "local": Local}[r["type"]]
		if k.Type() != want {
			t.Errorf("%s is of type %d, want %d", k, k.Type(), want)
		}
	}
	for k := range kindNames {
		if !seen[k] && k != LongItem {
			t.Errorf("%s is not in the reference table", k)
		}
	}
}

// TestConstants holds flags, collections and encodings against the table of constants of HID 1.11.
func TestConstants(t *testing.T) {
	c := map[string]string{}
	for _, r := range witness.Sure(t, "testdata/hid_constants.csv") {
		c[r["parameter"]] = r["value"]
	}
	words := []string{
		"Constant", "Variable", "Relative", "Wrap", "Non Linear", "No Preferred", "Null State", "Volatile", "Buffered Bytes",
	}
	for i, w := range words {
		want := strings.ReplaceAll(c["main_flag_bit_"+strconv.Itoa(i)], "_", " ")
		want, _, _ = strings.Cut(want, " (")
		if !strings.EqualFold(w, want) || !strings.Contains(Flags(1<<i).String(), w) {
			t.Errorf("flag bit %d is %q and %q, want %q", i, w, Flags(1<<i), want)
		}
	}
	for i := range 7 {
		want := strings.ReplaceAll(c["collection_"+strconv.Itoa(i)], "_", " ")
		if got := CollectionKind(i).String(); !strings.EqualFold(got, want) {
			t.Errorf("collection %d is %q, want %q", i, got, want)
		}
	}
	var b Builder
	b.Logical(-127, 255)
	b.Physical(0, 270)
	b.Physical(0, 315)
	b.Unit(Degrees)
	got := strings.ToUpper(hex.EncodeToString(b.buf))
	for _, p := range []string{
		"logical_min_minus127_encoding", "logical_max_255_encoding", "physical_max_270_encoding", "physical_max_315_encoding",
		"unit_degrees_encoding",
	} {
		if want := strings.ReplaceAll(c[p], " ", ""); want == "" || !strings.Contains(got, want) {
			t.Errorf("%s: %s does not contain %s", p, got, want)
		}
	}
	if c["long_item_prefix"] != "0xFE" || longPrefix != 0xFE {
		t.Errorf("long items begin with %s", c["long_item_prefix"])
	}
}

// TestUsageTable holds numbers and names of usages against the HID Usage Tables, and looks each of them up both ways.
func TestUsageTable(t *testing.T) {
	n := 0
	for _, r := range witness.Sure(t, "testdata/hid_usages.csv") {
		page := hex16(strings.TrimPrefix(r["page"], "0x"))
		switch {
		case r["kind"] == "page" && page < PageVendor:
			if PageName(page) != r["name"] {
				t.Errorf("page 0x%02X is %q, want %q", page, PageName(page), r["name"])
			}
		case r["kind"] == "usage" && r["usage"] != "n":
			u := U(page, hex16(strings.TrimPrefix(r["usage"], "0x")))
			if u.String() != r["name"] {
				t.Errorf("usage 0x%08X is %q, want %q", uint32(u), u, r["name"])
			}
			n++
		}
	}
	if n < 140 {
		t.Errorf("only %d usages compared", n)
	}
	for _, page := range []uint16{PageDesktop, PageSimulation, PageKeyboard, PageLED, PageConsumer} {
		for i, u := range Usages(page) {
			if got, ok := FindUsage(page, strings.ToUpper(u.String())); !ok || got != u {
				t.Errorf("the name %q of 0x%08X finds 0x%08X, %v", u, uint32(u), uint32(got), ok)
			}
			if i > 0 && u <= Usages(page)[i-1] {
				t.Errorf("usages of page 0x%02X are not in order at 0x%02X", page, u.ID())
			}
		}
	}
	if u, ok := FindUsage(PageButton, "Button 17"); !ok || u != Button(17) {
		t.Errorf("Button 17 finds 0x%08X, %v", uint32(u), ok)
	}
	for _, bad := range []string{"Button 0", "Button", "Button +1", "Button 70000", "Knopf 3"} {
		if u, ok := FindUsage(PageButton, bad); ok {
			t.Errorf("%q finds 0x%08X", bad, uint32(u))
		}
	}
}

// TestConstantsAgree holds the named constants of this package against its own table of names.
func TestConstantsAgree(t *testing.T) {
	for name, u := range map[string]Usage{
		"Pointer": Pointer, "Mouse": MousePointer, "Joystick": JoystickUsage, "Game Pad": GamePad, "Keyboard": KeyboardUsage,
		"Keypad": Keypad, "Multi-axis Controller": MultiAxis, "X": X, "Y": Y, "Z": Z, "Rx": Rx, "Ry": Ry, "Rz": Rz, "Slider": Slider,
		"Dial": Dial, "Wheel": Wheel, "Hat switch": HatSwitch, "System Control": SystemControl, "System Power Down": SystemPowerDown,
		"System Sleep": SystemSleep, "System Wake Up": SystemWakeUp, "Left Control": LeftControl, "Right GUI": RightGUI,
		"Num Lock": NumLockLamp, "Kana": KanaLamp, "Generic Indicator": GenericIndicator, "Consumer Control": ConsumerControl,
		"AC Pan": PanSideways, "Button 5": Button(5), "No button": Button(0), "Vendor 0xFF01, 0x21": U(0xFF01, 0x21),
		"Page 0x91, 0x02": U(0x91, 2),
	} {
		if u.String() != name {
			t.Errorf("0x%08X is %q, want %q", uint32(u), u, name)
		}
	}
}
