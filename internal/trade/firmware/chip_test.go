package firmware

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	core "knobwright/firmware"
	"knobwright/firmware/rig"
)

// The very file that a maker drops on the module, started cold on an emulated RP2040: the host finds the panel, and the button that
// is pressed is the one that the mapping names.
func TestImageOnTheEmulatedChip(t *testing.T) {
	const dir = "../../../firmware/rig/rp2040"
	if _, err := exec.LookPath("node"); err != nil {
		t.Skip("SKIPPED: node is not installed; no image was run on the emulated chip")
	}
	if _, err := os.Stat(dir + "/node_modules/rp2040js"); err != nil {
		t.Skip("SKIPPED: no node_modules/rp2040js in firmware/rig/rp2040 (npm ci there); no image was run on the emulated chip")
	}
	r, _ := worked(desk(pico, "go: part: push-16mm", "fog: part: toggle-mini-2, sends: button 7", "k: part: push-16mm, sends: key f13", "p: part: pot-16mm"))
	file := filepath.Join(t.TempDir(), r.Image.Name)
	if err := os.WriteFile(file, r.Image.Data, 0o644); err != nil {
		t.Fatal(err)
	}
	b, err := rig.Start(dir, "node", "rig.cjs")
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := b.Close(); err != nil {
			t.Error(err)
		}
	}()
	w, err := b.Wire(r.Bytes, core.RP2040)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.Ask("image "+file, "run 150000"); err != nil {
		t.Fatal(err)
	}
	device, configuration, err := b.Enumerate(1)
	if err != nil || !bytes.Equal(device, r.Device.Device) || !bytes.Equal(configuration, r.Device.Configuration) {
		t.Fatalf("%v\n%X, want %X\n%X, want %X", err, device, r.Device.Device, configuration, r.Device.Configuration)
	}
	p := &rig.Panel{Back: b, Wiring: w, Device: device, Configuration: configuration}
	h := &host{t: t, p: p, desc: r.Interfaces[0].Means, on: map[string]int64{}}
	h.run(30)
	for _, name := range []string{"go", "fog", "k"} {
		x := row(t, r, name)
		u := x.Place.Usage.String()
		if got := h.press(x.Raw[0]); got != u+"=1 "+u+"=0" {
			t.Errorf("%s on pin %s: %q, want %s", x.Label, x.Pin, got, u)
		}
	}
}

// A module of 3.3 V runs an ATmega32U4 at 8 MHz, which meets half as many ticks.
func TestUsualTick(t *testing.T) {
	for _, c := range []struct {
		chip  string
		volts float64
		want  int
	}{{"ATmega32U4", 5, 400}, {"ATmega32U4", 3.3, 1000}, {"ATmega32U4", 0, 400}, {"RP2040", 3.3, 250}} {
		if got := chipNamed(c.chip).usual(c.volts); got != c.want {
			t.Errorf("%s at %g V: %d us, want %d", c.chip, c.volts, got, c.want)
		}
	}
}
