#version 430
#include "gl/exposure.glsl"
uniform float dark;        // share of the ground's light that this lamp gives
uniform float coarse;      // picture rows a row of this buffer
flat in vec2 cell;
out float light;
void main() { light = dark * share_of(cell, (gl_FragCoord.y - 0.5) * coarse); }
