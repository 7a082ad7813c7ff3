package hid

import "fmt"

// BootKeyboard is the keyboard that firmware menus understand: a byte of modifiers, a byte of nothing, six keys by number; five lamps
// from the host. It has no report number and must be alone in its interface. The bytes are those of HID 1.11, Appendix E.6.
type BootKeyboard struct{}

// Append writes the keyboard, item by item in the order of the standard's listing.
func (BootKeyboard) Append(b *Builder) {
	const lastKey = 101 // Application, the last key of the listing
	b.Begin(Application, KeyboardUsage)
	b.UsageRange(LeftControl, RightGUI)
	b.Logical(0, 1)
	b.Size(1)
	b.Count(8)
	b.Main(Input, Variable)
	b.Count(1)
	b.Size(8)
	b.Main(Input, Constant)
	b.Count(5)
	b.Size(1)
	b.UsageRange(NumLockLamp, KanaLamp)
	b.Main(Output, Variable)
	b.Count(1)
	b.Size(3)
	b.Main(Output, Constant)
	b.Count(6)
	b.Size(8)
	b.Logical(0, lastKey)
	b.UsageRange(U(PageKeyboard, 0), U(PageKeyboard, lastKey))
	b.Main(Input, 0)
	b.End()
}

// Keyboard is a keyboard without a limit of keys held at once: eight modifiers, then one bit for each key from First to Last.
type Keyboard struct {
	ID    uint8
	First uint16 // 0: 0x04, the key a
	Last  uint16 // 0: 0x73, the key F24
	Lamps bool   // an output report of the five lamps of keyboards
}

// Append writes the keyboard.
func (k Keyboard) Append(b *Builder) {
	first, last := U(PageKeyboard, k.First), U(PageKeyboard, k.Last)
	if k.First == 0 {
		first = U(PageKeyboard, 0x04)
	}
	if k.Last == 0 {
		last = U(PageKeyboard, 0x73)
	}
	if first > last || last >= LeftControl {
		b.Fail(fmt.Errorf("keys 0x%02X to 0x%02X; they must be in order and end before the modifiers at 0xE0", first.ID(), last.ID()))
		return
	}
	b.Begin(Application, KeyboardUsage)
	b.number(k.ID)
	b.Field(Input, bitmap(LeftControl, RightGUI))
	b.Field(Input, bitmap(first, last))
	b.Fill(Input)
	if k.Lamps {
		b.Field(Output, bitmap(NumLockLamp, KanaLamp))
		b.Fill(Output)
	}
	b.End()
}

// Consumer is a set of media keys: an array of 16-bit numbers of the consumer page, each 0 or one that is held.
type Consumer struct {
	ID    uint8
	Slots int    // how many can be held at once; 0: 1
	Last  uint16 // the highest number; 0: 0x3FF
}

// Append writes the media keys.
func (c Consumer) Append(b *Builder) {
	slots, last := c.Slots, c.Last
	if slots == 0 {
		slots = 1
	}
	if last == 0 {
		last = 0x3FF
	}
	if slots < 1 || slots > 16 || last > 0x7FFF {
		b.Fail(fmt.Errorf("%d slots of media keys up to 0x%X; 1 to 16 of at most 0x7FFF can be", slots, last))
		return
	}
	b.Begin(Application, ConsumerControl)
	b.number(c.ID)
	b.Field(Input, Field{
		Size: 16, Count: slots, LogicalMax: int32(last), Usages: []Span{{Min: U(PageConsumer, 0), Max: U(PageConsumer, last)}},
	})
	b.End()
}

// System is the set of power down, sleep and wake up: an array of one number, 1 to 3, or 0 for none.
type System struct {
	ID uint8
}

// Append writes the system controls.
func (s System) Append(b *Builder) {
	b.Begin(Application, SystemControl)
	b.number(s.ID)
	b.Field(Input, Field{
		Size: 2, Count: 1, LogicalMin: 1, LogicalMax: 3, Usages: []Span{{Min: SystemPowerDown, Max: SystemWakeUp}},
	})
	b.Fill(Input)
	b.End()
}

// BootMouse is the mouse that firmware menus understand: three buttons, X and Y as steps. The bytes are those of HID 1.11, Appendix
// E.10, in the printed order.
type BootMouse struct{}

// Append writes the mouse, item by item in the order of the standard's listing.
func (BootMouse) Append(b *Builder) {
	b.Begin(Application, MousePointer)
	b.Begin(Physical, Pointer)
	b.UsageRange(Button(1), Button(3))
	b.Logical(0, 1)
	b.Count(3)
	b.Size(1)
	b.Main(Input, Variable)
	b.Count(1)
	b.Size(5)
	b.Main(Input, Constant)
	b.Usage(X)
	b.Usage(Y)
	b.Logical(-127, 127)
	b.Size(8)
	b.Count(2)
	b.Main(Input, Variable|Relative)
	b.End()
	b.End()
}

// Mouse is a pointer with a wheel: buttons, then X, Y and the wheels as steps of -127 to 127.
type Mouse struct {
	ID      uint8
	Buttons int  // 0 to 8; hosts want three
	Wheel   bool // scrolls up and down
	Pan     bool // scrolls sideways
}

// Append writes the mouse.
func (m Mouse) Append(b *Builder) {
	if m.Buttons < 0 || m.Buttons > 8 {
		b.Fail(fmt.Errorf("a mouse of %d buttons; 0 to 8 can be", m.Buttons))
		return
	}
	b.Begin(Application, MousePointer)
	b.number(m.ID)
	b.Begin(Physical, Pointer)
	if m.Buttons > 0 {
		b.Field(Input, bitmap(Button(1), Button(m.Buttons)))
		b.Fill(Input)
	}
	axes := []Usage{X, Y}
	if m.Wheel {
		axes = append(axes, Wheel)
	}
	if m.Pan {
		axes = append(axes, PanSideways)
	}
	var list []Axis
	for _, u := range axes {
		list = append(list, Axis{Usage: u, Min: -127, Max: 127, Flags: Relative})
	}
	b.axes(list)
	b.End()
	b.End()
}
