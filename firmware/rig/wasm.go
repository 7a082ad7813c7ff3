package rig

import (
	"bufio"
	"context"
	_ "embed"
	"io"
	"sync"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/imports/wasi_snapshot_preview1"
)

//go:generate go run ../build -source .. -o ../images panel

// The firmware of host/, as WebAssembly: built by firmware/build from the same sources as the images of the chips.
//
//go:embed panel.wasm
var panelWasm []byte

// compiled keeps the machine code between panels.
var compiled = sync.OnceValue(wazero.NewCompilationCache)

// Wasm starts the embedded firmware on this PC. It needs no compiler and touches no file.
func Wasm(ctx context.Context) (*Back, error) {
	run := wazero.NewRuntimeWithConfig(ctx, wazero.NewRuntimeConfig().WithCompilationCache(compiled()).WithCloseOnContextDone(true))
	if _, err := wasi_snapshot_preview1.Instantiate(ctx, run); err != nil {
		_ = run.Close(ctx)
		return nil, err
	}
	code, err := run.CompileModule(ctx, panelWasm)
	if err != nil {
		_ = run.Close(ctx)
		return nil, err
	}
	b := &Back{said: &tail{}}
	theirs, in := io.Pipe()
	out, answers := io.Pipe()
	done := make(chan error, 1)
	go func() {
		_, err := run.InstantiateModule(ctx, code, wazero.NewModuleConfig().WithStdin(theirs).WithStdout(answers).WithStderr(b.said))
		_ = answers.Close()
		_ = theirs.Close()
		done <- err
	}()
	b.in, b.out = in, bufio.NewReader(out)
	b.stop = func() error {
		err := <-done
		if closed := run.Close(ctx); err == nil {
			err = closed
		}
		return err
	}
	return b, nil
}
