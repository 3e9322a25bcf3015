/** Whether a log holds J1939 at all, interface by interface. */
import { isProprietaryGroup, type LogSummary } from '@firstcrank/decoder'

/** The extended data frames of one interface, by what is known of their groups. */
export interface ChannelTraffic {
  readonly name: string
  readonly extended: number
  /** Of groups with a definition. */
  readonly defined: number
  /** Of groups that only their makers define. */
  readonly proprietary: number
  /** Of groups without a definition here. */
  readonly undefined: number
}

/** `no`: no 29-bit identifier; `doubtful`: there are, but most mean nothing in J1939. */
export type Verdict = 'yes' | 'doubtful' | 'no'

/**
 * Share of frames in groups that are known here or that makers may define, from which traffic is taken
 * to be J1939. Open captures of trucks have more than 0.9 of them; another protocol on 29-bit
 * identifiers hits them by chance. The limit is common practice.
 */
const ENOUGH = 0.5

/** What came on each interface. */
export function channelTraffic({ channels, nodes }: LogSummary): ChannelTraffic[] {
  return channels.map((name, channel) => {
    const groups = nodes.filter((node) => node.channel === channel).flatMap((node) => node.groups)
    const framesOf = (wanted: (group: (typeof groups)[number]) => boolean): number =>
      groups.filter(wanted).reduce((sum, { frames }) => sum + frames, 0)
    const isDefined = ({ definition }: (typeof groups)[number]): boolean => definition !== undefined
    return {
      name,
      extended: framesOf(() => true),
      defined: framesOf(isDefined),
      proprietary: framesOf((group) => !isDefined(group) && isProprietaryGroup(group.pgn)),
      undefined: framesOf((group) => !isDefined(group) && !isProprietaryGroup(group.pgn)),
    }
  })
}

/** Whether one interface carried J1939. */
export function verdictOf({ extended, defined, proprietary }: ChannelTraffic): Verdict {
  if (extended === 0) return 'no'
  return (defined + proprietary) / extended >= ENOUGH ? 'yes' : 'doubtful'
}
