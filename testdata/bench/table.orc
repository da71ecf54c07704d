; One static table: 24 partials falling 3 dB each, read by an interpolating
; oscillator, with a rise of 20 ms and a fall of 30 ms. It moves nothing else. A
; block is csound's own default of 10 frames unless the caller says --ksmps.
sr = 48000
ksmps = 10
nchnls = 1
0dbfs = 1

giReed ftgen 1, 0, 4096, 10, 1, .708, .501, .355, .251, .178, .126, .0891, .0631, .0447, .0316, .0224, .0158, .0112, .00794, .00562, .00398, .00282, .002, .00141, .001, .000708, .000501, .000355

instr 1
  kEnv linen .3, .02, p3, .03
  aOut oscili kEnv, p4, giReed
  out aOut
endin
