/** What to call a node: by the function of its NAME where it claimed one, else by its preferred address. */
import type { Name, Recording } from '@firstcrank/decoder'
import { nodeRole } from '@firstcrank/decoder/catalog'

/** The NAME that claimed an address last, by `channel number * 256 + sa`. */
function lastNames(recording: Recording): ReadonlyMap<number, Name> {
  const names = new Map<number, Name>()
  for (const event of recording.events) {
    if (event.kind !== 'node' || event.name === null || event.address === null) continue
    if (event.code === 'commanded' || event.code === 'cannot-claim' || event.code === 'contested') continue
    names.set(event.channel * 256 + event.address, event.name)
  }
  return names
}

/** Titles of nodes, such as `Engine 1 (address 0)`. */
export class NodeTitles {
  readonly #names: ReadonlyMap<number, Name>

  constructor(recording: Recording) {
    this.#names = lastNames(recording)
  }

  /** @param channel number of the interface */
  of(channel: number, sa: number): string {
    const role = nodeRole(sa, this.#names.get(channel * 256 + sa))
    return role === undefined ? `Address ${sa}` : `${role} (address ${sa})`
  }
}
