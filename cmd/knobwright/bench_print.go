package main

import "fmt"

func (c *benchCmd) print(w *world, l *loaded) error {
	fmt.Fprintln(w.out, l.path)
	return nil
}
