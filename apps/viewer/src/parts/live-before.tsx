/** What a person makes sure of before the first crank. */
import { MANUAL_CHECKS } from '@firstcrank/analysis'
import { useEffect, useRef, useState } from 'preact/hooks'
import { useSentence } from '../state/sentence.js'
import { areEarlier, freshTicks, lastTick, loadTicks, saveTicks, TICK_HOURS, type Ticks } from '../state/start-ticks.js'
import { formatClock } from '../state/time.js'
import { text } from '../words/text.js'

const CHECKS = MANUAL_CHECKS.filter(({ stage }) => stage === 'before')
/** Milliseconds between looks for ticks that no longer hold: a page may stay open overnight. */
const LOOK_AGAIN = 60_000

/** The list for a live source, folded; its ticks last over a reload, but not until another day. */
export function BeforeStart({ source }: { readonly source: string }) {
  const { ticks, now, change } = useTicks(source)
  const summary = useRef<HTMLElement>(null)
  const say = useSentence()
  const ticked = CHECKS.filter(({ id }) => id in ticks).length
  const last = lastTick(ticks)
  const earlier = areEarlier(ticks, now)
  const words = text.live.beforeTicked
  return (
    <details class="before">
      <summary ref={summary}>
        <h2>{text.live.before}</h2>{' '}
        <span class="faint">
          {text.card.ticked(ticked, CHECKS.length)}
          {last !== null && !earlier && words.last(formatClock(last))}
        </span>
        {last !== null && earlier && <span>{words.earlier(formatClock(last))}</span>}
      </summary>
      <ul class="steps">
        {CHECKS.map(({ id, text: check }) => (
          <li key={id}>
            <label class="step" for={`before-${id}`}>
              <input
                type="checkbox"
                id={`before-${id}`}
                checked={id in ticks}
                onChange={(event) => change(withTick(ticks, id, event.currentTarget.checked))}
              />
              <span>{say(check)}</span>
            </label>
          </li>
        ))}
      </ul>
      <p class="before-kept">
        <button
          type="button"
          disabled={last === null}
          onClick={() => {
            change({})
            // The button can no longer be pressed, and would take the focus with it.
            summary.current?.focus()
          }}
        >
          {words.clear}
        </button>{' '}
        <span class="faint">{words.kept(TICK_HOURS)}</span>
      </p>
    </details>
  )
}

interface HeldTicks {
  readonly ticks: Ticks
  /** When was looked last; milliseconds of the wall clock. */
  readonly now: number
  change(ticks: Ticks): void
}

/** What is ticked for a source, and how to change it. */
function useTicks(source: string): HeldTicks {
  const [ticks, setTicks] = useState(() => loadTicks(source, Date.now()))
  const [now, setNow] = useState(() => Date.now())
  useEffect(() => {
    setTicks(loadTicks(source, Date.now()))
    const look = (): void => {
      setNow(Date.now())
      setTicks((held) => freshTicks(held, Date.now()))
    }
    const timer = setInterval(look, LOOK_AGAIN)
    return () => clearInterval(timer)
  }, [source])
  const change = (next: Ticks): void => {
    setTicks(next)
    setNow(Date.now())
    saveTicks(source, next, Date.now())
  }
  return { ticks, now, change }
}

function withTick(ticks: Ticks, id: string, on: boolean): Ticks {
  const { [id]: _, ...others } = ticks
  return on ? { ...others, [id]: Date.now() } : others
}
