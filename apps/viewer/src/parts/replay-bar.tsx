/** What moves a replay: play, pause, one frame, speed, place, again. */
import { MAX_SPEED, MIN_SPEED, type ReplayControl, type ReplayPosition, type SourceInfo } from '@firstcrank/feed'
import { controlReplay, endReplay } from '../recording/server.js'
import { formatRoute, runRoute } from '../state/route.js'
import { formatTime } from '../state/time.js'
import { text } from '../words/text.js'

const SPEEDS = [MIN_SPEED, 0.5, 1, 2, 5, 10, 50, MAX_SPEED]

interface ReplayProps {
  readonly source: SourceInfo
  readonly position: ReplayPosition
}

/** The bar. */
export function ReplayBar({ source, position }: ReplayProps) {
  const { id, state, run } = source
  const { from, to, at, speed, loop } = position
  const words = text.replay
  const tell = (control: ReplayControl): void => {
    // What the server does is told by the source's own news; a refusal changes nothing.
    controlReplay(id, control).catch(() => undefined)
  }
  const again = (): void => {
    tell({ do: 'seek', time: from })
    tell({ do: 'play' })
  }
  const over = state === 'ended' || (state !== 'live' && at >= to)
  const seconds = (at - from) / 1e6
  return (
    <section class="replay" aria-label={words.label}>
      {state === 'live' ? (
        <button type="button" onClick={() => tell({ do: 'pause' })}>
          {words.pause}
        </button>
      ) : (
        <button type="button" onClick={over ? again : () => tell({ do: 'play' })}>
          {over ? words.again : words.play}
        </button>
      )}
      <button type="button" disabled={state === 'live'} onClick={() => tell({ do: 'step', frames: 1 })}>
        {words.step}
      </button>
      <input
        type="range"
        min={0}
        max={(to - from) / 1e6}
        step={0.1}
        value={seconds}
        aria-label={words.place}
        aria-valuetext={words.at(formatTime(seconds, 1), formatTime((to - from) / 1e6, 1))}
        onChange={(event) => tell({ do: 'seek', time: from + Math.round(Number(event.currentTarget.value) * 1e6) })}
      />
      <span class="replay-at">{words.at(formatTime(seconds, 1), formatTime((to - from) / 1e6, 1))}</span>
      <select
        aria-label={words.speed}
        value={`${speed}`}
        onChange={(event) => tell({ do: 'speed', speed: Number(event.currentTarget.value) })}
      >
        {SPEEDS.map((choice) => (
          <option key={choice} value={`${choice}`}>
            {words.times(choice)}
          </option>
        ))}
      </select>
      <label class="step">
        <input
          type="checkbox"
          checked={loop}
          onChange={(event) => tell({ do: 'loop', loop: event.currentTarget.checked })}
        />
        <span>{words.loop}</span>
      </label>
      {run !== null && <a href={formatRoute(runRoute(`run:${run}`))}>{words.sheet}</a>}
      <button type="button" class="plain" onClick={() => void endReplay(id).then(() => location.assign('#/live'))}>
        {words.end}
      </button>
    </section>
  )
}
