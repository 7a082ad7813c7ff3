package rig

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"strings"
	"sync"
)

// Back is a firmware that runs, with what hangs on its pins and the host's end of its bus. It speaks the protocol of README.md. It is
// not for concurrent use.
type Back struct {
	in    io.WriteCloser
	out   *bufio.Reader
	stop  func() error
	said  *tail // what it said besides its answers
	ended bool
}

// Start starts a program that speaks the protocol on its standard input and output.
func Start(dir, program string, arg ...string) (*Back, error) {
	cmd := exec.Command(program, arg...)
	cmd.Dir = dir
	b := &Back{said: &tail{}}
	cmd.Stderr = b.said
	in, err := cmd.StdinPipe()
	if err != nil {
		return nil, err
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	b.in, b.out, b.stop = in, bufio.NewReader(out), cmd.Wait
	return b, nil
}

// tail keeps the end of what is written to it.
type tail struct {
	mu   sync.Mutex
	text []byte
}

func (t *tail) Write(p []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.text = append(t.text, p...)
	if n := len(t.text); n > 8000 {
		t.text = append(t.text[:0], t.text[n-4000:]...)
	}
	return len(p), nil
}

func (t *tail) String() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return string(bytes.TrimSpace(t.text))
}

// Close ends it. An error when it ended badly, as a sanitizer makes it.
func (b *Back) Close() error {
	if b.ended {
		return nil
	}
	b.ended = true
	_ = b.in.Close()
	if err := b.stop(); err != nil {
		return fmt.Errorf("the firmware ended: %w\n%s", err, b.said)
	}
	return nil
}

// Ask sends lines and gives the answer to each, "" where there is nothing but the ok. An error when a line was not understood or the
// firmware ended.
func (b *Back) Ask(lines ...string) ([]string, error) {
	if b.ended {
		return nil, errors.New("the firmware has ended")
	}
	sent := make(chan error, 1)
	go func() {
		_, err := io.WriteString(b.in, strings.Join(lines, "\n")+"\n")
		sent <- err
	}()
	answers := make([]string, 0, len(lines))
	var wrong error
	for _, line := range lines {
		var got []string
		for {
			text, err := b.out.ReadString('\n')
			if err != nil {
				return nil, fmt.Errorf("%q: the firmware ended\n%s", line, b.said)
			}
			text = strings.TrimRight(text, "\r\n")
			if text == "ok" {
				break
			}
			if why, bad := strings.CutPrefix(text, "error"); bad {
				if wrong == nil {
					wrong = fmt.Errorf("%q: %s", line, strings.TrimSpace(why))
				}
				break
			}
			got = append(got, text)
		}
		answers = append(answers, strings.Join(got, "\n"))
	}
	if err := <-sent; err != nil {
		return nil, fmt.Errorf("the firmware does not listen: %w\n%s", err, b.said)
	}
	return answers, wrong
}

// ask sends one line whose answer begins with a word, and gives the rest.
func (b *Back) ask(word, format string, args ...any) (string, error) {
	line := fmt.Sprintf(format, args...)
	got, err := b.Ask(line)
	if err != nil {
		return "", err
	}
	first, rest, _ := strings.Cut(got[0], " ")
	if first != word {
		return "", fmt.Errorf("%q: answer %q", line, got[0])
	}
	return rest, nil
}
