/** What a node remembers of its faults: which are active, how often they came, what was measured then. */

export type Lamp = 'amber' | 'red' | 'protect'

/** One SPN and FMI a node has known since it was built. */
export interface StoredFault {
  readonly spn: number
  readonly fmi: number
  readonly lamp: Lamp
  /** Counts for the inspection of emissions: DM12 lists it and the malfunction lamp lights. */
  readonly emissions: boolean
  active: boolean
  /** Its condition holds, but not yet long enough. */
  pending: boolean
  /** How often it became active, 0 to 126. */
  count: number
  /** The node's DM4 entry of the last time it became active. */
  freeze: Uint8Array | undefined
}

/** A fault that became active or was cleared. */
export interface FaultEvent {
  /** µs since the epoch. */
  readonly time: number
  readonly spn: number
  readonly fmi: number
  readonly active: boolean
}

/** Highest count a trouble code can carry. Source: SAE J1939-73, as the decoder has it. */
const MOST = 126

export class FaultMemory {
  readonly faults: StoredFault[] = []
  readonly events: FaultEvent[] = []
  /** Goes up with every change of what is active. */
  revision = 0
  #active = 0

  /** The entry of a fault, made on first use. */
  entry(spn: number, fmi: number, lamp: Lamp, emissions: boolean): StoredFault {
    const known = this.faults.find((fault) => fault.spn === spn && fault.fmi === fmi)
    if (known) return known
    const fault: StoredFault = { spn, fmi, lamp, emissions, active: false, pending: false, count: 0, freeze: undefined }
    this.faults.push(fault)
    return fault
  }

  set(fault: StoredFault, active: boolean, time: number, freeze?: Uint8Array): void {
    if (fault.active === active) return
    fault.active = active
    if (active) {
      fault.count = Math.min(MOST, fault.count + 1)
      fault.freeze = freeze
    }
    this.#active += active ? 1 : -1
    this.revision++
    this.events.push({ time, spn: fault.spn, fmi: fault.fmi, active })
  }

  active(): StoredFault[] {
    return this.faults.filter((fault) => fault.active)
  }

  /** Forgets what was; what is still wrong comes back with a count of one. */
  clear(time: number): void {
    for (const fault of this.faults) {
      this.set(fault, false, time)
      fault.count = 0
      fault.freeze = undefined
    }
  }

  previouslyActive(): StoredFault[] {
    return this.faults.filter((fault) => !fault.active && fault.count > 0)
  }

  isActive(spn: number, fmi?: number): boolean {
    if (this.#active === 0) return false
    return this.faults.some((fault) => fault.active && fault.spn === spn && (fmi === undefined || fault.fmi === fmi))
  }
}
