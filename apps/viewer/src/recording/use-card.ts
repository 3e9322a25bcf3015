/** The card of the run that is open: loaded once, shown as it is changed, kept after a moment. */
import { useEffect, useState } from 'preact/hooks'
import { type Card, type CardChange, cardKeeper } from './card.js'

/** How it stands with the keeping. */
export type Keeping = 'kept' | 'changed' | 'failed'

/** The card and what can be done with it. */
export interface OpenCard {
  readonly card: Card
  /** Null where nothing was changed yet. */
  readonly keeping: Keeping | null
  change(change: CardChange): void
  tick(check: string, on: boolean): void
}

/** Null until it is there, or where it cannot be had. */
export function useCard(run: string): OpenCard | null {
  const [card, setCard] = useState<Card | null>(null)
  const [keeping, setKeeping] = useState<Keeping | null>(null)
  useEffect(() => {
    const left = new AbortController()
    setCard(null)
    setKeeping(null)
    cardKeeper(run)
      .load(left.signal)
      .then(
        (loaded) => left.signal.aborted || setCard(loaded),
        () => undefined,
      )
    return () => {
      left.abort()
    }
  }, [run])
  if (card === null) return null
  const keep = (next: Card, kept: Promise<unknown>): void => {
    setCard(next)
    setKeeping('changed')
    kept.then(
      () => setKeeping('kept'),
      () => setKeeping('failed'),
    )
  }
  return {
    card,
    keeping,
    change: (change) => keep({ ...card, ...change }, cardKeeper(run).change(change)),
    tick: (check, on) => {
      const others = card.checks.filter((ticked) => ticked !== check)
      keep({ ...card, checks: on ? [...others, check] : others }, cardKeeper(run).tick(check, on))
    },
  }
}
