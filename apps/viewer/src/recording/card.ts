/** What a person writes to a run: kept by the server beside its log, or by this browser. */
import type { PinnedNote, Run } from '@firstcrank/feed'
import { answerOf } from './answer.js'
import { findRun } from './server.js'

/** The card of a run. */
export interface Card {
  readonly title: string
  readonly vehicle: string
  /** What was repaired since the run before. */
  readonly fixed: string
  readonly notes: string
  /** In order of time. */
  readonly pins: readonly PinnedNote[]
  /** Manual checks that are ticked, by their ids. */
  readonly checks: readonly string[]
}

/** What can be changed at once; a tick is a change of its own. */
export type CardChange = Partial<Omit<Card, 'checks'>>

/** Keeps the cards of runs. */
export interface CardKeeper {
  load(left?: AbortSignal): Promise<Card>
  /** @returns the card as it is kept now */
  change(change: CardChange): Promise<Card>
  tick(check: string, on: boolean): Promise<Card>
}

/** The keeper for a run's id: the server's for `run:…`, this browser's for any other. */
export function cardKeeper(id: string): CardKeeper {
  return id.startsWith('run:') ? serverKeeper(id.slice(4)) : browserKeeper(id)
}

/** Forgets what was written to a log that this browser no longer keeps. */
export function forgetCard(id: string): void {
  try {
    localStorage.removeItem(KEY + id)
  } catch {
    // What was not kept need not be forgotten.
  }
}

const KEY = 'firstcrank.card.'
const EMPTY: Card = { title: '', vehicle: '', fixed: '', notes: '', pins: [], checks: [] }

function browserKeeper(id: string): CardKeeper {
  const read = (): Card => {
    try {
      return { ...EMPTY, ...JSON.parse(localStorage.getItem(KEY + id) ?? '{}') }
    } catch {
      return EMPTY
    }
  }
  const write = (card: Card): Card => {
    localStorage.setItem(KEY + id, JSON.stringify(card))
    return card
  }
  return {
    load: async () => read(),
    change: async (change) => write({ ...read(), ...change }),
    tick: async (check, on) => {
      const card = read()
      const others = card.checks.filter((ticked) => ticked !== check)
      return write({ ...card, checks: on ? [...others, check] : others })
    },
  }
}

function serverKeeper(run: string): CardKeeper {
  const ask = async (path: string, method: string, body?: unknown): Promise<Card> => {
    const answer = await fetch(`api/runs/${run}${path}`, {
      method,
      ...(body === undefined ? {} : { headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) }),
    })
    return cardOf(await answerOf(answer))
  }
  return {
    load: async (left) => cardOf(await findRun(run, left)),
    change: (change) => ask('', 'PATCH', change),
    tick: (check, on) => ask(`/checks/${encodeURIComponent(check)}`, on ? 'PUT' : 'DELETE', on ? {} : undefined),
  }
}

function cardOf({ title, vehicle, fixed, notes, pins, checks }: Run): Card {
  return { title, vehicle, fixed, notes, pins, checks: checks.map(({ check }) => check) }
}
