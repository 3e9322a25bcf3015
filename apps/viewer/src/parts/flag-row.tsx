/** A row of flags on the spine, each at its time, none under another. */

/** One flag. */
export interface Flag {
  readonly key: string
  /** One or two characters. */
  readonly mark: string
  /** What it says when it is read out or pointed at. */
  readonly words: string
  /** Percent of the axis; flags outside of it are left out. */
  readonly at: number
  readonly pressed: boolean
  readonly onPress: () => void
}

/** Height of a row of flags in pixels. */
const HEIGHT = 26
/** Percent of the axis under which two flags would lie on each other. */
const CLOSE = 5

/** The row; without flags there is none. */
export function FlagRow({ name, flags }: { readonly name: string; readonly flags: readonly Flag[] }) {
  const shown = flags.filter(({ at }) => at >= -0.01 && at <= 100)
  if (shown.length === 0) return null
  const rows = spread(shown.map(({ at }) => at))
  return (
    <div class="spine-row flags" style={{ height: `${(Math.max(0, ...rows) + 1) * HEIGHT}px` }}>
      <span class="spine-name">{name}</span>
      <div class="spine-track">
        {shown.map(({ key, mark, words, at, pressed, onPress }, index) => (
          <button
            type="button"
            key={key}
            class="flag"
            style={{ left: `min(${at}%, calc(100% - 24px))`, top: `${(rows[index] ?? 0) * HEIGHT}px` }}
            aria-pressed={pressed}
            aria-label={words}
            title={words}
            onClick={onPress}
          >
            {mark}
          </button>
        ))}
      </div>
    </div>
  )
}

/** A row for each flag such that none hides another. */
function spread(places: readonly number[]): readonly number[] {
  const ends: number[] = []
  return places.map((at) => {
    const free = ends.findIndex((end) => Math.abs(at - end) >= CLOSE)
    const row = free === -1 ? ends.length : free
    ends[row] = at
    return row
  })
}
