/** How long a value is taken to last. */

/** Silence after which a value no longer holds: so many usual gaps between messages, but not less than this. */
const HOLD_PERIODS = 5
const LEAST_HOLD = 1_000_000

/** How long a value holds that is sent at a period; both in microseconds, null where no period is known. */
export function holdFor(period: number | null): number {
  return Math.max(LEAST_HOLD, (period ?? 0) * HOLD_PERIODS)
}
