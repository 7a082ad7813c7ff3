import * as api from './api'
import type { Act, ClashData, ControlData, Edit, Finding, Group, LookData, Lying, ShapeData } from './types'

/** A thing that a hand carries to the face: a part of the catalogue, or a control that has no place yet. */
export interface Carried {
  hole: number // mm
  picture: string // SVG of the server's, as seen from the front
  act: (across: number, up: number) => Act // what putting it there does, mm
}

/** Where it can be put: the face that is drawn. over says whether the pointer is on it. */
export interface Landing {
  over: (at: { clientX: number; clientY: number }) => boolean
  drop: (at: { clientX: number; clientY: number }, what: Carried) => void
  leave: () => void
}

/** How long a change is waited for before the next one is sent, ms. */
const neverAfter = 30000

/** What is on the bench: the panel as the server has it, what is in hand, and what was said last. */
class Desk {
  look = $state.raw<LookData | null>(null)
  /** Findings while something is dragged; null = those of the look. */
  trial = $state.raw<Finding[] | null>(null)
  /** Where controls would stand while something is dragged, mm; null = where the look has them. */
  moved = $state.raw<Map<string, [number, number]> | null>(null)
  /** Names in hand; the first one is the one that others line up with. */
  hands = $state.raw<string[]>([])
  /** The row, grid or image in hand. */
  group = $state<string | null>(null)
  /** What is being carried to the face, and where it is drawn while it is not over it. */
  carried = $state.raw<Carried | null>(null)
  carriedAt = $state.raw<[number, number] | null>(null)
  landing: Landing | null = null
  /** A touch takes one more in hand, as with shift: for who has no keys. */
  more = $state(false)
  /** What was said last. What was refused is said in the colour of trouble. */
  #said = $state('')
  wrong = $state(false)
  get said(): string {
    return this.#said
  }
  set said(s: string) {
    this.#said = s
    this.wrong = false
  }
  clash = $state.raw<ClashData | null>(null)
  lost = $state(false)
  /** Grows with all that the program tells, also where the text is as it was: ticks. */
  news = $state(0)
  /** What is begun and not sent yet; it is sent before what is done next. */
  unsent = new Set<() => unknown>()
  #chosen = 0 // grows when something else is taken in hand
  #turn: Promise<unknown> = Promise.resolve()
  /** How many changes are under way. */
  sending = $state(0)
  /** Where a spot of the face is on the screen; null while no face is drawn. */
  spot = $state.raw<((across: number, up: number) => [number, number]) | null>(null)

  get hand(): string | null {
    return this.hands[0] ?? null
  }
  set hand(name: string | null) {
    this.take_in_hand(name === null ? [] : [name])
  }
  take_in_hand(names: string[], group: string | null = null) {
    const other = names.length !== this.hands.length || names.some((n, i) => n !== this.hands[i])
    if (other || group !== this.group) this.#chosen++
    if (other) this.hands = names
    this.group = group
  }

  get control(): ControlData | undefined {
    return this.look?.controls.find((c) => c.name === this.hand)
  }
  /** The control in hand when it lies in the tray. */
  get lying(): Lying | undefined {
    return this.look?.waiting.find((c) => c.name === this.hand)
  }
  get inHand(): ControlData[] {
    const by = new Map(this.look?.controls.map((c) => [c.name, c]))
    return this.hands.map((n) => by.get(n)).filter((c) => c !== undefined)
  }
  get row(): Group | undefined {
    return this.look?.groups.find((g) => g.name === this.group)
  }
  get findings(): Finding[] {
    return this.trial ?? this.look?.findings ?? []
  }

  /** Changes reach the program one after the other, in the order in which they were made. */
  #inTurn<T>(send: () => Promise<T>): Promise<T> {
    this.settle()
    const answer = this.#turn.then(send)
    let timer = 0
    const over = () => {
      clearTimeout(timer)
      this.sending--
    }
    this.sending++
    // one that is never answered does not keep all others waiting
    const never = new Promise<void>((go) => (timer = window.setTimeout(go, neverAfter)))
    this.#turn = Promise.race([answer.then(over, over), never])
    return answer
  }
  settle() {
    for (const send of [...this.unsent]) void send()
  }

  /** Runs a change and takes what it led to; what is refused is said, and is null. */
  async do(change: () => Promise<LookData>): Promise<LookData | null> {
    this.said = ''
    try {
      const l = await this.#inTurn(change)
      this.take(l)
      return l
    } catch (e) {
      this.refused(e)
      return null
    }
  }
  refused(e: unknown) {
    if (!(e instanceof api.Refused)) throw e
    if (e.clash) return void (this.clash = e.clash) // it says so itself
    this.said = e.message
    this.wrong = true
  }

  take(l: LookData, again = false) {
    if (this.look && l.rev < this.look.rev) return // an answer that came late
    if (!again && this.look && l.rev === this.look.rev && l.trouble === this.look.trouble) return // told already
    for (const c of l.controls) {
      const f = l.forms[c.form]
      late(c, 'shapes', () => there(f.front, c))
      late(c, 'bodies', () => there(f.rear, c))
    }
    this.look = l
    this.trial = null
    this.moved = null
    const names = new Set([...l.controls, ...l.waiting].map((c) => c.name))
    if (this.hands.some((n) => !names.has(n))) this.hands = this.hands.filter((n) => names.has(n))
    if (this.group && !l.groups.some((g) => g.name === this.group)) this.group = null
  }

  edit(say: string, edits: Edit[]) {
    return this.do(() => api.edit(say, edits))
  }

  /** Does what a hand did. Names are those in hand unless given; keep = what is in hand stays there, whatever the answer proposes. */
  async act(a: Act, keep = false): Promise<boolean> {
    this.said = ''
    const chosen = this.#chosen
    const asked = { names: a.do === 'add' || a.do === 'group' ? undefined : this.hands, ...a }
    try {
      const d = await this.#inTurn(() => api.act(asked))
      const late = this.look !== null && d.look.rev < this.look.rev // something else has been done since
      this.take(d.look)
      if (d.note) this.said = d.note
      if (!d.keep && !keep && !late && this.#chosen === chosen) this.take_in_hand(d.hand) // who took something else meanwhile keeps that
      return true
    } catch (e) {
      this.refused(e)
      this.trial = this.moved = null
      return false
    }
  }

  /** Listens for every change, of whoever made it. */
  listen() {
    const events = new EventSource('/api/events')
    events.onmessage = async (m) => {
      const back = this.lost // what was asked for meanwhile is asked for again
      this.lost = false
      this.news++
      if (!back && this.look && Number(m.data) <= this.look.rev) return
      try {
        this.take(await api.look(), back) // what was said last stays
      } catch (e) {
        this.refused(e)
      }
    }
    events.onerror = () => {
      this.lost = true
    }
  }
}

/** A value that is made when it is asked for. */
function late<T extends object, K extends keyof T>(o: T, key: K, make: () => T[K]) {
  let made: T[K] | undefined
  Object.defineProperty(o, key, { get: () => (made ??= make()), enumerable: true, configurable: true })
}

/** Shapes of a form where a control stands. */
const there = (ss: ShapeData[], c: ControlData): ShapeData[] =>
  ss.map((s) => ({ ...s, points: s.points.map(([x, y]): [number, number] => [x + c.x, y + c.y]) }))

export const desk = new Desk()

/** A length as the person writes it: in inches as a fraction where a line of a rule is there. */
export function num(mm: number, units: string): string {
  if (units !== 'in') return String(Math.round(mm * 100) / 100)
  const n = Math.round((mm / 25.4) * 64)
  if (Math.abs((n / 64) * 25.4 - mm) > 0.005) return String(Math.round((mm / 25.4) * 1000) / 1000)
  let [top, bottom] = [Math.abs(n) % 64, 64]
  while (top && top % 2 === 0) [top, bottom] = [top / 2, bottom / 2]
  const whole = Math.floor(Math.abs(n) / 64)
  return (n < 0 ? '-' : '') + (top ? (whole ? whole + ' ' : '') + `${top}/${bottom}` : String(whole))
}

/** The edit that moves a control by so much. */
export function moveEdit(c: ControlData, dx: number, dy: number, units: string): Edit {
  return { op: 'set', path: c.move, value: `[${num(c.base[0] + dx, units)}, ${num(c.base[1] + dy, units)}]` }
}
