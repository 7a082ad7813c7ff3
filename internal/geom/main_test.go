package geom

import (
	"os"
	"testing"

	"knobwright/internal/thorough"
)

func TestMain(m *testing.M) {
	thorough.Draws(40)
	os.Exit(m.Run())
}
