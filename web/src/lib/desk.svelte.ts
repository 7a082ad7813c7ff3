import * as api from './api'
import type { ClashData, ControlData, Edit, Finding, LookData } from './types'

/** What is on the bench: the panel as the server has it, what is in hand, and what was said last. */
class Desk {
  look = $state.raw<LookData | null>(null)
  /** Findings while something is dragged; null = those of the look. */
  trial = $state.raw<Finding[] | null>(null)
  hand = $state<string | null>(null)
  said = $state('')
  clash = $state.raw<ClashData | null>(null)
  lost = $state(false)

  get control(): ControlData | undefined {
    return this.look?.controls.find((c) => c.name === this.hand)
  }
  get findings(): Finding[] {
    return this.trial ?? this.look?.findings ?? []
  }

  /** Runs a change and takes what it led to; what is refused is said. */
  async do(change: Promise<LookData>): Promise<boolean> {
    try {
      this.take(await change)
      this.said = ''
      return true
    } catch (e) {
      if (e instanceof api.Refused) {
        this.said = e.message
        if (e.clash) this.clash = e.clash
        return false
      }
      throw e
    }
  }

  take(l: LookData) {
    if (this.look && l.rev < this.look.rev) return // an answer that came late
    this.look = l
    this.trial = null
    if (this.hand && !l.controls.some((c) => c.name === this.hand)) this.hand = null
  }

  edit(say: string, edits: Edit[]) {
    return this.do(api.edit(say, edits))
  }

  /** Listens for every change, of whoever made it. */
  listen() {
    const events = new EventSource('/api/events')
    events.onmessage = async (m) => {
      this.lost = false
      if (Number(m.data) !== this.look?.rev) await this.do(api.look())
    }
    events.onerror = () => {
      this.lost = true
    }
  }
}

export const desk = new Desk()

/** A length as the person writes it. */
export function num(mm: number, units: string): string {
  return units === 'in' ? String(Math.round((mm / 25.4) * 1000) / 1000) : String(Math.round(mm * 100) / 100)
}

/** The edit that moves a control by so much. */
export function moveEdit(c: ControlData, dx: number, dy: number, units: string): Edit {
  return { op: 'set', path: c.move, value: `[${num(c.base[0] + dx, units)}, ${num(c.base[1] + dy, units)}]` }
}
