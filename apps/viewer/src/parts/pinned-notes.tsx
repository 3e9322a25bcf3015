/** Notes at moments of the recording: the one at the cursor, and a line to write another. */
import type { PinnedNote } from '@firstcrank/feed'
import { useEffect, useRef, useState } from 'preact/hooks'
import type { OpenCard } from '../recording/use-card.js'
import { formatTime } from '../state/time.js'
import { text } from '../words/text.js'

/** Seconds within which a note belongs to the cursor. */
const NEAR = 0.005
const LONGEST = 500

/** Whether two times in seconds are the same on the page. */
export const isAt = (one: number, other: number): boolean => Math.abs(one - other) < NEAR

interface PinnedNotesProps {
  readonly card: OpenCard
  /** Seconds of the cursor, microseconds of the axis' zero. */
  readonly at: number
  readonly zero: number
  readonly onDone: () => void
}

/** Notes at the cursor, and a line to write another. */
export function PinnedNotes({ card, at, zero, onDone }: PinnedNotesProps) {
  const [words, setWords] = useState('')
  const field = useRef<HTMLInputElement>(null)
  useEffect(() => field.current?.focus(), [])
  const { pins } = card.card
  const pin = (event: Event): void => {
    event.preventDefault()
    const note: PinnedNote = { time: Math.round(zero + at * 1e6), text: words.trim() }
    if (note.text === '') return
    card.change({ pins: [...pins, note].sort((a, b) => a.time - b.time) })
    onDone()
  }
  return (
    <div class="pins">
      <PinList card={card} pins={notesAt(card, at, zero)} zero={zero} />
      <form class="pin-form" onSubmit={pin}>
        <label>
          <span class="hidden">{text.pins.label(formatTime(at, 0.1))}</span>
          <input
            ref={field}
            value={words}
            maxLength={LONGEST}
            placeholder={text.pins.label(formatTime(at, 0.1))}
            onInput={(event) => setWords(event.currentTarget.value)}
            onKeyDown={(event) => event.key === 'Escape' && onDone()}
          />
        </label>
        <button type="submit" disabled={words.trim() === ''}>
          {text.pins.pin}
        </button>
      </form>
    </div>
  )
}

/** The notes at a time in seconds. */
export function notesAt({ card }: OpenCard, at: number, zero: number): readonly PinnedNote[] {
  return card.pins.filter(({ time }) => isAt((time - zero) / 1e6, at))
}

interface PinListProps {
  readonly card: OpenCard
  readonly pins: readonly PinnedNote[]
  readonly zero: number
  /** Where a note leads to; without it its time is plain text. */
  readonly hrefAt?: (seconds: number) => string
}

/** Notes with their times, each of which can be taken away. */
export function PinList({ card, pins, zero, hrefAt }: PinListProps) {
  if (pins.length === 0) return null
  return (
    <ul class="evidence">
      {pins.map((pin) => {
        const seconds = (pin.time - zero) / 1e6
        const at = formatTime(seconds, 0.1)
        return (
          <li key={`${pin.time}${pin.text}`}>
            {hrefAt === undefined ? <strong>{at}</strong> : <a href={hrefAt(seconds)}>{at}</a>} {pin.text}{' '}
            <button
              type="button"
              class="plain icon"
              aria-label={text.pins.remove(pin.text)}
              onClick={() => card.change({ pins: card.card.pins.filter((other) => other !== pin) })}
            >
              <span aria-hidden="true">×</span>
            </button>
          </li>
        )
      })}
    </ul>
  )
}
