//! From egui's triangles to the window.

use std::sync::Arc;

use egui::{ClippedPrimitive, TexturesDelta};
use egui_wgpu::{Renderer, RendererOptions, ScreenDescriptor};
use pixels::wgpu;
use winit::window::Window;

use crate::app::render::Drivers;
use crate::app::screen::Screen;

/// Paints the desk into its window.
pub struct Painter {
    screen: Screen,
    renderer: Renderer,
    size: (u32, u32),
    /// A size that the screen does not have yet.
    wanted: Option<(u32, u32)>,
}

impl Painter {
    /// Opens the window's surface.
    ///
    /// # Errors
    /// No graphics driver will draw on this window.
    pub fn open(window: &Arc<Window>, drivers: Drivers, size: (u32, u32)) -> Result<Painter, pixels::Error> {
        // A thread that fell over loaded nothing; opening does it then.
        let _drivers = drivers.join();
        let screen = Screen::open_bare(window, size.0, size.1)?;
        let renderer = Renderer::new(screen.device(), screen.format(), RendererOptions::default());
        Ok(Painter { screen, renderer, size, wanted: None })
    }

    /// Size of the window in pixels.
    #[must_use]
    pub fn size(&self) -> (u32, u32) {
        self.wanted.unwrap_or(self.size)
    }

    /// The window has another size in pixels.
    pub fn resize(&mut self, width: u32, height: u32) {
        self.wanted = Some((width, height)).filter(|size| *size != self.size);
    }

    /// Paints once.
    ///
    /// # Errors
    /// The driver refused.
    pub fn paint(
        &mut self,
        shapes: &[ClippedPrimitive],
        textures: &TexturesDelta,
        pixels_per_point: f32,
    ) -> Result<(), pixels::Error> {
        if let Some(size) = self.wanted.take() {
            self.screen.resize_surface(size.0, size.1)?;
            self.size = size;
        }
        let descriptor = ScreenDescriptor { size_in_pixels: [self.size.0, self.size.1], pixels_per_point };
        let renderer = &mut self.renderer;
        for (id, delta) in &textures.set {
            renderer.update_texture(self.screen.device(), self.screen.queue(), *id, delta);
        }
        self.screen.present_with(|encoder, target, device, queue| {
            let more = renderer.update_buffers(device, queue, encoder, shapes, &descriptor);
            queue.submit(more);
            renderer.render(&mut pass(encoder, target), shapes, &descriptor);
        })?;
        textures.free.iter().for_each(|id| self.renderer.free_texture(id));
        Ok(())
    }
}

fn pass(encoder: &mut wgpu::CommandEncoder, target: &wgpu::TextureView) -> wgpu::RenderPass<'static> {
    let colour = wgpu::RenderPassColorAttachment {
        view: target,
        depth_slice: None,
        resolve_target: None,
        ops: wgpu::Operations { load: wgpu::LoadOp::Clear(wgpu::Color::BLACK), store: wgpu::StoreOp::Store },
    };
    let descriptor = wgpu::RenderPassDescriptor {
        label: Some("desk"),
        color_attachments: &[Some(colour)],
        ..wgpu::RenderPassDescriptor::default()
    };
    encoder.begin_render_pass(&descriptor).forget_lifetime()
}
