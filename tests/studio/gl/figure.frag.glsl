#version 430
#include "gl/shade.glsl"
in vec3 normal;
in vec3 colour;
in vec3 to_eye;
in vec2 reach;
out vec4 light;
void main() {
    light = vec4(shaded(linear(colour), normalize(normal), normalize(to_eye), reach.x, reach.y, 0.0), 1.0);
}
