/** A sound that cannot be taken for one of the truck's own. */

/** Milliseconds of it that say it works. */
const TRIED = 400

/** Sounds it for a moment: a person has to know how it sounds, and that this device makes it. */
export function tryAlarm(): void {
  setTimeout(soundAlarm(), TRIED)
}

/** Two tones, again and again. Returns how to end it. */
export function soundAlarm(): () => void {
  const audio = new AudioContext()
  const tone = audio.createOscillator()
  const volume = audio.createGain()
  volume.gain.value = 0.25
  tone.type = 'square'
  tone.connect(volume).connect(audio.destination)
  // Half an hour of changes is longer than anybody listens.
  for (let step = 0; step < 3_600; step++)
    tone.frequency.setValueAtTime(step % 2 ? 660 : 880, audio.currentTime + step / 2)
  tone.start()
  return () => {
    tone.stop()
    audio.close().catch(() => undefined)
  }
}
