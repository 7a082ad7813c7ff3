import { tick } from 'svelte'
import { on } from 'svelte/events'
import { desk } from './desk.svelte'

/** A blank of a sentence: what is in force in it, and what is done with what a hand writes there. */
export interface Blank {
  of: string // what it is about: what was written for one thing is never taken for another
  value: string // in force
  take: (written: string) => unknown // false or null, or a promise of it = it was refused
}

/**
 * Keeps a blank: it shows what is in force, but never over what is being written. What was written is taken when the hand leaves it, and
 * also when something else is put into the hand meanwhile or the blank goes; Escape takes it back.
 */
export function blank(node: HTMLInputElement | HTMLSelectElement, now: Blank) {
  let writing = false
  const show = () => node.value !== now.value && (node.value = now.value)
  async function take() {
    const { take, value } = now
    const [written, rev] = [node.value, desk.look?.rev]
    writing = false
    if (written.trim() === value) return void show()
    const taken = await take(written)
    await tick()
    // refused, or nothing came of it; else the news of it brings what is in force
    if (!writing && (!taken || desk.look?.rev === rev)) show()
  }
  const begun = () => (writing = true)
  const left = () => {
    if (!writing) return
    writing = false // written back to what it was
    show()
  }
  const key = (e: KeyboardEvent) => {
    if (e.key !== 'Escape' || !writing) return
    e.stopPropagation()
    left()
  }
  // a browser tells of a change also while the page takes the blank away
  const heard: HTMLElement = node
  const off = [on(heard, 'input', begun), on(heard, 'change', take), on(heard, 'blur', left), on(heard, 'keydown', key)]
  node.value = now.value
  return {
    update(next: Blank) {
      const other = next.of !== now.of
      if (other && writing) void take()
      now = next
      if (!writing) show()
    },
    destroy() {
      for (const stop of off) stop()
      if (writing) void take()
    },
  }
}
