/** Work done before anybody asks: the first window of a busy signal would have to wait for it. */
import type { Recording } from '@firstcrank/decoder'

/** Messages from which a signal's index takes some milliseconds: an hour of one every 18 ms. Our own choice. */
const BUSY = 200_000
/** Columns of the picture that is made and thrown away: enough that the program's own code is warm, too. Our own choice. */
const COLUMNS = 512
/** Bytes of an index for a message: four numbers for every 32. */
const INDEX_SHARE = 1

/**
 * Makes the indexes of overviews, the busiest signal's first, one at each step, and tells the bytes each
 * takes. Who drives it stops when it has spent enough.
 *
 * @param busy messages from which a signal counts as busy
 */
export function* prepareWindows(recording: Recording, busy: number = BUSY): Generator<number> {
  const signals = recording.signals().filter(({ count }) => count >= busy)
  for (const signal of signals.sort((one, other) => other.count - one.count)) {
    signal.overview(signal.stream.time(0), signal.stream.time(signal.count - 1), COLUMNS)
    yield signal.count * INDEX_SHARE
  }
}
