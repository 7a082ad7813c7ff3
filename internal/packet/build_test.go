package packet

import (
	"bytes"
	"os"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/thorough"
)

// built makes the packet of an example.
func built(t testing.TB, name string) (*job.Result, []Doc) {
	t.Helper()
	src := examples.File(name)
	r := job.Run(project.Read(name+".yaml", src), catalog.Builtin())
	docs, err := Build(r, src)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return r, docs
}

func TestEveryExampleTwiceTheSameBytes(t *testing.T) {
	names := thorough.Of(examples.Names(), []string{"first-panel"})
	if !thorough.Is() {
		names = []string{"first-panel"}
	}
	for _, name := range names {
		one := get(t, name).docs
		_, two := built(t, name)
		for i := range one {
			if !bytes.Equal(one[i].Data, two[i].Data) {
				t.Errorf("%s: %s differs between two builds", name, one[i].Name)
			}
		}
		if dir := os.Getenv("KNOBWRIGHT_OUT"); dir != "" { // to look at them
			if err := Write(dir+"/"+name, one, nil); err != nil {
				t.Error(err)
			}
		}
	}
}

func BenchmarkMakeCueDesk(b *testing.B) {
	for b.Loop() {
		built(b, "cue-desk")
	}
}
