"""Prints what the independent library python3-mido reads in a MIDI file, one event a line (see
midi_outside_test.cpp), and the seconds of every note of the lick."""
import sys

import mido

file = mido.MidiFile(sys.argv[1], charset='utf-8')
print('file', file.type, file.ticks_per_beat, len(file.tracks))
tempos = []
for number, track in enumerate(file.tracks):
    tick = 0
    sounding = {}
    for message in track:
        tick += message.time
        if message.type == 'set_tempo':
            tempos.append((tick, message.tempo))
            print('tempo', tick, message.tempo)
        elif message.type == 'time_signature':
            print('meter', tick, message.numerator, message.denominator)
        elif message.type == 'marker':
            print('marker', tick, message.text)
        elif message.type == 'text':
            print('text', number, tick, message.text)
        elif message.type == 'track_name':
            print('name', number, message.name)
        elif message.type == 'program_change':
            print('program', tick, message.channel + 1, message.program)
        elif message.type in ('note_on', 'note_off'):
            waiting = sounding.setdefault((message.channel, message.note), [])
            if message.type == 'note_on' and message.velocity > 0:
                waiting.append((tick, message.velocity))
            else:
                start, velocity = waiting.pop(0)
                print('note', number, start, tick - start, message.channel + 1, message.note, velocity)
    assert not any(sounding.values())


def seconds(tick):
    total = 0
    for i, (start, tempo) in enumerate(tempos):
        end = min([tick] + [later for later, _ in tempos[i + 1:i + 2]])
        if end > start:
            total += mido.tick2second(end - start, file.ticks_per_beat, tempo)
    return total


tick = 0
for message in file.tracks[1]:
    tick += message.time
    if message.type == 'note_on':
        print('seconds', f'{seconds(tick):.9f}')
