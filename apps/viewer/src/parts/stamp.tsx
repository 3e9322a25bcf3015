/** A verdict as a word with a shape beside it: colour only repeats what both say. */
import type { JSX } from 'preact'

/** Everything that is stamped. */
export type StampKind = 'stop' | 'fail' | 'caution' | 'pass' | 'none-found' | 'nothing-judged' | 'not-judged'

const SHAPES: Readonly<Record<StampKind, JSX.Element>> = {
  stop: <path d="M6 1h8l5 5v8l-5 5H6l-5-5V6z" fill="currentColor" />,
  fail: <path d="M3 3l14 14M17 3L3 17" stroke="currentColor" stroke-width="3.4" />,
  caution: <path d="M10 1.5L18.5 10 10 18.5 1.5 10z" fill="none" stroke="currentColor" stroke-width="2.6" />,
  pass: <path d="M2 11l5 5L18 4" fill="none" stroke="currentColor" stroke-width="3" />,
  'none-found': <circle cx="10" cy="10" r="8" fill="none" stroke="currentColor" stroke-width="2.6" />,
  'nothing-judged': <path d="M2 10h4M8 10h4M14 10h4" stroke="currentColor" stroke-width="3" />,
  'not-judged': <path d="M2 10h4M8 10h4M14 10h4" stroke="currentColor" stroke-width="3" />,
}

/** Shape and word. */
export function Stamp({
  kind,
  word,
  big = false,
}: {
  readonly kind: StampKind
  readonly word: string
  readonly big?: boolean
}) {
  return (
    <span class={`stamp stamp-${kind}${big ? ' big' : ''}`}>
      <Shape kind={kind} />
      {word}
    </span>
  )
}

/** The shape alone, where the word stands beside it. */
export function Shape({ kind }: { readonly kind: StampKind }) {
  return (
    <svg viewBox="0 0 20 20" aria-hidden="true">
      {SHAPES[kind]}
    </svg>
  )
}
