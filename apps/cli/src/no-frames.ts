/** Why a log holds nothing to decode, in words. */
import type { ReaderCounts } from '@firstcrank/decoder'

/**
 * Why there is no frame of J1939 in a log; undefined where there is one.
 *
 * @param problems lines and parts of the log that could not be read
 */
export function whyNoFrames(counts: ReaderCounts, problems: number): string | undefined {
  const { lines, extended, standard, remote, error, fd } = counts
  if (extended > 0) return undefined
  if (lines === 0 && problems === 0) return 'the log is empty'
  if (standard + remote + error + fd > 0) return 'the log holds no frame with a 29-bit identifier'
  return 'not one line of the log is a frame; firstcrank reads the text that candump writes, plain or gzip'
}
