#version 430
// The person, flattened onto the ground along the light.
#include "gl/lens.glsl"
#include "gl/skin.glsl"
uniform vec3 light_way;
uniform vec2 cell_now;     // cell of time, as in exposure.glsl
uniform float layer;       // depth of this light's layer: the first fragment of a layer wins
flat out vec2 cell;
void main() {
    cell = cell_now;
    vec4 a, b, c;
    blended(a, b, c);
    vec3 world = moved(a, b, c, vec4(in_place, 1.0));
    world -= light_way * max(world.z, 0.0) / light_way.z;
    vec4 clip = through_lens(vec3(world.xy, 0.0));
    gl_Position = vec4(clip.xy, layer * clip.w, clip.w);
}
