#version 430
#include "gl/shade.glsl"
#include "gl/exposure.glsl"
uniform float gloss;
in vec3 normal;
in vec3 colour;
in vec3 to_eye;
flat in vec2 cell;
out vec4 light;
void main() {
    float share = share_of(cell, gl_FragCoord.y - 0.5);
    if (share <= 0.0) discard;
    light = vec4(shaded(linear(colour), normalize(normal), normalize(to_eye), 1.0, 1.0, gloss), 1.0) * share;
}
