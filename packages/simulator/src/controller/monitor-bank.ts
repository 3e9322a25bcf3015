/** Runs a table of monitors: when may it judge, what is wrong, how long until it says so and takes it back. */
import type { FaultMemory, Lamp, StoredFault } from './fault-memory.js'

/** One diagnosis over whatever a node can see of itself. */
export interface Monitor<View> {
  readonly spn: number
  readonly fmi: number
  readonly lamp: Lamp
  readonly emissions?: boolean
  /** s the condition must hold until the fault is active, and must be gone until it is not. */
  readonly set: number
  readonly heal: number
  /** Where it does not hold, the monitor rests: it neither finds nor heals. */
  readonly enabled?: (view: View) => boolean
  readonly failing: (view: View) => boolean
}

interface Row<View> {
  readonly monitor: Monitor<View>
  readonly fault: StoredFault
  /** s the condition has held, less what it was absent. */
  held: number
  absent: number
}

export class MonitorBank<View> {
  readonly #rows: readonly Row<View>[]
  readonly #memory: FaultMemory

  constructor(monitors: readonly Monitor<View>[], memory: FaultMemory) {
    this.#memory = memory
    this.#rows = monitors.map((monitor) => ({
      monitor,
      fault: memory.entry(monitor.spn, monitor.fmi, monitor.lamp, monitor.emissions ?? false),
      held: 0,
      absent: 0,
    }))
  }

  /** @param freeze makes the freeze frame of a fault that becomes active now */
  step(dt: number, time: number, view: View, freeze?: (fault: StoredFault) => Uint8Array): void {
    for (const row of this.#rows) {
      const { monitor, fault } = row
      if (monitor.enabled && !monitor.enabled(view)) continue
      if (monitor.failing(view)) {
        row.absent = 0
        row.held += dt
        if (!fault.active && row.held >= monitor.set) this.#memory.set(fault, true, time, freeze?.(fault))
      } else {
        row.held = Math.max(0, row.held - 2 * dt)
        row.absent += dt
        if (fault.active && row.absent >= monitor.heal) this.#memory.set(fault, false, time)
      }
      fault.pending = !fault.active && row.held > 0
    }
  }

  /** Forgets how long conditions have held, as a controller does that starts anew. What is active stays. */
  restart(): void {
    for (const row of this.#rows) {
      row.held = 0
      row.absent = 0
    }
  }
}
