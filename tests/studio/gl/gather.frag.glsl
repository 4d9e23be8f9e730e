#version 430
// Adds one cell of time of the person, and within it all cells of the club and ball, to the picture:
// where a club is for a share of the time, the person behind it is seen for the rest.
#include "gl/exposure.glsl"
uniform sampler2DMS person;
uniform sampler2DMS fast;
uniform vec2 cell;
out vec4 light;
void main() {
    ivec2 at = ivec2(gl_FragCoord.xy);
    float share = share_of(cell, gl_FragCoord.y - 0.5);
    vec4 total = vec4(0.0);
    for (int i = 0; i < 4; i++) {
        vec4 still = texelFetch(person, at, i), swift = texelFetch(fast, at, i);
        total += still * max(share - swift.a, 0.0) + swift;
    }
    light = total * 0.25;
}
