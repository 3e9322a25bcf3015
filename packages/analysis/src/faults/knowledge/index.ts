/** Everything known about parts, looked up by SPN. */
import { AFTERTREATMENT } from './aftertreatment.js'
import { AIR } from './air.js'
import type { Component } from './component.js'
import { ELECTRICAL } from './electrical.js'
import { FUEL } from './fuel.js'
import { NETWORK } from './network.js'
import { PRESSURES } from './pressures.js'
import { SPEED_AND_PEDAL } from './speed-and-pedal.js'
import { TEMPERATURES } from './temperatures.js'

export * from './component.js'
export * from './failure-modes.js'
export * from './generic-causes.js'
export * from './kinds.js'

/** All parts known. */
export const COMPONENTS: readonly Component[] = [
  ...TEMPERATURES,
  ...PRESSURES,
  ...AIR,
  ...FUEL,
  ...SPEED_AND_PEDAL,
  ...ELECTRICAL,
  ...NETWORK,
  ...AFTERTREATMENT,
]

/** SPN 2000 to 2253: the node whose source address is the SPN less 2000. From memory. */
export const FIRST_NODE_SPN = 2000
export const LAST_NODE_SPN = 2253

const bySpn: ReadonlyMap<number, Component> = new Map(
  COMPONENTS.flatMap((component) => component.spns.map((spn) => [spn, component] as const)),
)

/** What is known of the part an SPN stands for; undefined where nothing is. */
export function findComponent(spn: number): Component | undefined {
  return bySpn.get(spn) ?? (spn >= FIRST_NODE_SPN && spn <= LAST_NODE_SPN ? missingNode(spn) : undefined)
}

/** A node others miss. */
function missingNode(spn: number): Component {
  const link = bySpn.get(639)
  const sa = spn - FIRST_NODE_SPN
  return {
    spns: [spn],
    part: `node at address ${sa}`,
    kind: 'network',
    about: `The node at source address ${sa}, as another node misses it.`,
    cautions: ['bus-measuring'],
    ...(link?.first && { first: link.first }),
  }
}
