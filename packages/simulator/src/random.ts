/**
 * Chance that can be repeated: xoshiro128** by D. Blackman and S. Vigna (2018, public domain), its
 * state filled by splitmix32 as its authors advise for short seeds.
 */

/** A stream of random numbers that depends on its seed alone. */
export class Random {
  #a: number
  #b: number
  #c: number
  #d: number
  readonly #seed: number

  constructor(seed: number) {
    this.#seed = seed >>> 0
    let state = this.#seed
    const next = (): number => {
      state = (state + 0x9e3779b9) >>> 0
      let mixed = Math.imul(state ^ (state >>> 16), 0x21f0aaad)
      mixed = Math.imul(mixed ^ (mixed >>> 15), 0x735a2d97)
      return (mixed ^ (mixed >>> 15)) >>> 0
    }
    this.#a = next()
    this.#b = next()
    this.#c = next()
    this.#d = next()
  }

  /** A stream that starts from the generator's four words of state, none of them made up. */
  static fromState(words: readonly [number, number, number, number]): Random {
    const random = new Random(0)
    ;[random.#a, random.#b, random.#c, random.#d] = words
    return random
  }

  /** An independent stream for one part of the model: adding a part never moves the others' numbers. */
  fork(name: string): Random {
    // FNV-1a, 32 bits.
    let hash = 0x811c9dc5 ^ this.#seed
    for (let i = 0; i < name.length; i++) hash = Math.imul(hash ^ name.charCodeAt(i), 0x01000193)
    return new Random(hash)
  }

  /** The next 32 bits, as an unsigned integer. */
  bits(): number {
    const result = Math.imul(rotate(Math.imul(this.#b, 5), 7), 9) >>> 0
    const shifted = this.#b << 9
    this.#c ^= this.#a
    this.#d ^= this.#b
    this.#b ^= this.#c
    this.#a ^= this.#d
    this.#c ^= shifted
    this.#d = rotate(this.#d, 11)
    return result
  }

  /** Evenly from 0 (included) to 1 (excluded). */
  unit(): number {
    return this.bits() / 0x100000000
  }

  /** Evenly between two numbers. */
  between(low: number, high: number): number {
    return low + (high - low) * this.unit()
  }

  /** About normal, mean 0, standard deviation 1, never beyond ±3.5: the sum of four even numbers. */
  normal(): number {
    return (this.unit() + this.unit() + this.unit() + this.unit() - 2) * 1.7320508075688772
  }
}

function rotate(x: number, k: number): number {
  return (x << k) | (x >>> (32 - k))
}
