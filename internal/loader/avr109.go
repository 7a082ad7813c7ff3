package loader

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"

	"knobwright/internal/image"
)

// AVR109 speaks the protocol of serial boot loaders of AVR chips with an ATmega32U4. Source: Atmel application note AVR109,
// Self-programming, commands and answers.
type AVR109 struct {
	Port io.ReadWriter // answers within its own time limit: a Read that gives nothing is the end
	Tell Progress

	block int
}

// What is known of an ATmega32U4. Source: ATmega16U4/32U4 data sheet, signature bytes, and pages of the flash.
var signature32U4 = [3]byte{0x1E, 0x95, 0x87}

const (
	page32U4 = 128
	end32U4  = 0x7000 // where the boot loader begins, with the usual 4 KB for it
)

// again is what to do after something went wrong in mid-flash.
const again = "Nothing is lost: the boot loader is in a part of the flash that is not written. Press RESET twice, quickly (or join RST to ground twice); the module stays in its boot loader for some seconds; run this again in that time."

func (a *AVR109) tell(step string, done, total int) {
	if a.Tell != nil {
		a.Tell(step, done, total)
	}
}

// ask writes a command and reads n bytes.
func (a *AVR109) ask(command []byte, n int) ([]byte, error) {
	if _, err := a.Port.Write(command); err != nil {
		return nil, err
	}
	out := make([]byte, n)
	if _, err := io.ReadFull(a.Port, out); err != nil {
		return nil, err
	}
	return out, nil
}

// yes writes a command that is answered by a carriage return.
func (a *AVR109) yes(command ...byte) error {
	r, err := a.ask(command, 1)
	if err != nil {
		return err
	}
	if r[0] != '\r' {
		return fmt.Errorf("the boot loader answers 0x%02X to %q", r[0], command[0])
	}
	return nil
}

// Hello finds out what is at the other end: the name of the boot loader. It is a *Wrong when it is not the right chip.
func (a *AVR109) Hello() (string, error) {
	silent := &Wrong{"Nothing at the port answers as a boot loader does.", "Press RESET twice, quickly, and run this again within some seconds; look whether it is the right port."}
	name, err := a.ask([]byte{'S'}, 7)
	if err != nil {
		return "", silent
	}
	for _, c := range name {
		if c < 0x20 || c > 0x7E {
			return "", silent
		}
	}
	sig, err := a.ask([]byte{'s'}, 3)
	if err != nil {
		return "", silent
	}
	slices.Reverse(sig)
	if [3]byte(sig) != signature32U4 {
		return string(name), &Wrong{fmt.Sprintf("The chip at the port is another one: its signature is %X, that of an ATmega32U4 is %X.", sig, signature32U4[:]), "Nothing was written."}
	}
	b, err := a.ask([]byte{'b'}, 1)
	if err != nil {
		return string(name), silent
	}
	if b[0] != 'Y' {
		return string(name), &Wrong{"This boot loader takes single bytes only; it is too old to be trusted with an image.", "Nothing was written. Flash the file with a programmer."}
	}
	size := make([]byte, 2)
	if _, err := io.ReadFull(a.Port, size); err != nil {
		return string(name), silent
	}
	if a.block = int(size[0])<<8 | int(size[1]); a.block < page32U4 {
		return string(name), &Wrong{fmt.Sprintf("This boot loader takes %d bytes at once; a page has %d.", a.block, page32U4), "Nothing was written. Flash the file with a programmer."}
	}
	return string(name), nil
}

// Flash writes an image and reads it back. Pages are written from the top down and the first one last: until the end, the chip has no
// program to start, so that a module whose flashing breaks off comes up in its boot loader. An image with a core erases what was there; a
// table alone replaces its own pages.
func (a *AVR109) Flash(m image.Image) error {
	lo, hi, ok := m.Span()
	if !ok {
		return &Wrong{"The image is empty.", ""}
	}
	if hi >= end32U4 {
		return &Wrong{fmt.Sprintf("The image reaches to 0x%X, into the boot loader at 0x%X.", hi, end32U4), "Nothing was written. It is for another chip."}
	}
	if a.block == 0 {
		if _, err := a.Hello(); err != nil {
			return err
		}
	}
	pages := pagesOf(m)
	total := len(pages) * page32U4
	broken := func(say string, err error) error {
		if err == nil {
			return nil
		}
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			err = nil
			say += "; the port is silent"
		}
		return &Broken{say + ".", again, err}
	}
	if err := a.yes('P'); err != nil {
		return broken("The boot loader does not begin", err)
	}
	if lo < page32U4 {
		if err := a.yes('e'); err != nil {
			return broken("The flash cannot be erased", err)
		}
	}
	for i := len(pages) - 1; i >= 0; i-- {
		p := pages[i]
		done := (len(pages) - 1 - i) * page32U4
		say := fmt.Sprintf("Writing broke off after %d of %d bytes", done, total)
		if err := a.address(p.Addr); err != nil {
			return broken(say, err)
		}
		if err := a.yes(append([]byte{'B', page32U4 >> 8, page32U4 & 0xFF, 'F'}, p.Data...)...); err != nil {
			return broken(say, err)
		}
		a.tell("writing", done+page32U4, total)
	}
	for i, p := range pages {
		say := fmt.Sprintf("Reading back broke off after %d of %d bytes", i*page32U4, total)
		if err := a.address(p.Addr); err != nil {
			return broken(say, err)
		}
		back, err := a.ask([]byte{'g', page32U4 >> 8, page32U4 & 0xFF, 'F'}, page32U4)
		if err != nil {
			return broken(say, err)
		}
		for k := range back {
			if want, ok := m.At(p.Addr+uint32(k), 1); ok && want[0] != back[k] {
				return &Broken{Say: fmt.Sprintf("At 0x%04X the module holds 0x%02X where 0x%02X was written.", int(p.Addr)+k, back[k], want[0]), Do: again + " If it happens again, the flash is worn or the cable is bad."}
			}
		}
		a.tell("reading back", (i+1)*page32U4, total)
	}
	_ = a.yes('L')
	_ = a.yes('E') // it restarts at once, and may be gone before it answers
	return nil
}

// address sets where the next block goes, in words.
func (a *AVR109) address(byteAddr uint32) error {
	w := byteAddr / 2
	return a.yes('A', byte(w>>8), byte(w))
}

// pagesOf cuts an image into pages, filled up as erased flash.
func pagesOf(m image.Image) []image.Piece {
	var out []image.Piece
	for _, run := range m.Runs() {
		for at := run.Addr &^ (page32U4 - 1); at < run.Addr+uint32(len(run.Data)); at += page32U4 {
			if n := len(out); n > 0 && out[n-1].Addr == at {
				continue // the run before ends in this page
			}
			data := bytes.Repeat([]byte{0xFF}, page32U4)
			for k := range data {
				if b, ok := m.At(at+uint32(k), 1); ok {
					data[k] = b[0]
				}
			}
			out = append(out, image.Piece{Addr: at, Data: data})
		}
	}
	return out
}
