#version 430
#include "gl/lens.glsl"
uniform vec3 light_way;
uniform float layer;
uniform float layer_step;  // each copy of the thing has its own layer
in vec3 in_place;
in vec4 in_row_x;
in vec4 in_row_y;
in vec4 in_row_z;
in vec2 in_cell;
flat out vec2 cell;
void main() {
    cell = in_cell;
    vec4 at = vec4(in_place, 1.0);
    vec3 world = vec3(dot(in_row_x, at), dot(in_row_y, at), dot(in_row_z, at));
    world -= light_way * max(world.z, 0.0) / light_way.z;
    vec4 clip = through_lens(vec3(world.xy, 0.0));
    gl_Position = vec4(clip.xy, (layer - layer_step * float(gl_InstanceID)) * clip.w, clip.w);
}
