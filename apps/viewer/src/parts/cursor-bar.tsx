/** The cursor of one run's sheet: with a mark to measure from, notes, and a way to each phase. */
import { changeSheet } from '../state/location.js'
import type { Window } from '../state/route.js'
import { formatDuration, formatTime } from '../state/time.js'
import { windowAround } from '../state/window.js'
import { text } from '../words/text.js'
import type { SheetModel } from './model.js'
import { fineness, TimeCursor } from './time-cursor.js'
import { phaseTitle } from './time-spine.js'

interface CursorBarProps {
  readonly model: SheetModel
  readonly at: number | null
  readonly mark: number | null
  /** What each signal is at the cursor. */
  readonly valueWords: readonly string[]
  /** What is pinned at the cursor. */
  readonly notes: readonly string[]
  readonly writing: boolean
  /** Opens the line for a note, or closes it; null where none can be written now. */
  readonly onWrite: (() => void) | null
  readonly onWindow: (window: Window) => void
}

/** The bar. */
export function CursorBar({ model, at, mark, valueWords, notes, writing, onWrite, onWindow }: CursorBarProps) {
  const { window, length } = model
  const clear = (): void => changeSheet({ at: null, mark: null })
  const setMark = (): void => changeSheet({ mark: at })
  return (
    <TimeCursor
      axis={{ from: 0, to: length }}
      window={window}
      at={at}
      valueWords={valueWords}
      help={text.cursor.help}
      whole={text.zoom.whole}
      onAt={(time) => changeSheet({ at: time })}
      onWindow={onWindow}
      keys={{ m: setMark, n: () => onWrite?.(), Escape: clear }}
      buttons={
        <>
          <button type="button" disabled={at === null} onClick={setMark}>
            {text.cursor.mark}
          </button>
          <button type="button" disabled={mark === null && at === null} onClick={clear}>
            {text.cursor.clear}
          </button>
          <button
            type="button"
            disabled={onWrite === null}
            aria-label={text.pins.write}
            title={text.pins.write}
            aria-expanded={writing && onWrite !== null}
            onClick={() => onWrite?.()}
          >
            {text.pins.short}
          </button>
        </>
      }
      choice={<PhaseChoice model={model} onWindow={onWindow} />}
      words={
        <>
          {at === null && mark === null && ` · ${text.cursor.hint}`}
          {mark !== null && <MarkWords at={at} mark={mark} fine={fineness(window)} />}
          {notes.map((note) => (
            <span key={note}>
              {' · '}✎ {note}
            </span>
          ))}
        </>
      }
    />
  )
}

/** Where the mark is, and how far the cursor is from it. */
function MarkWords({ at, mark, fine }: { readonly at: number | null; readonly mark: number; readonly fine: number }) {
  return (
    <>
      {' · '}
      {text.cursor.markHere} <strong>{formatTime(mark, fine)}</strong>
      {at !== null && at !== mark && <>, {text.cursor.between(formatDuration(at - mark))}</>}
    </>
  )
}

/** Goes to a phase by its name: many are too short on the band to be pointed at. */
function PhaseChoice({ model, onWindow }: Pick<CursorBarProps, 'model' | 'onWindow'>) {
  const { phases, zero, length } = model
  if (phases.length === 0) return null
  const choose = (event: Event & { currentTarget: HTMLSelectElement }): void => {
    const phase = phases[Number(event.currentTarget.value)]
    event.currentTarget.value = ''
    if (phase !== undefined) onWindow(windowAround((phase.from - zero) / 1e6, (phase.to - zero) / 1e6, length))
  }
  return (
    <select aria-label={text.zoom.phase} value="" onChange={choose}>
      <option value="">{text.zoom.phase}</option>
      {phases.map((phase, index) => (
        <option key={`${phase.from}${phase.kind}`} value={index}>
          {phaseTitle(phase, zero)}
        </option>
      ))}
    </select>
  )
}
