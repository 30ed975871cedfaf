//! The window's pixels: opening them, drawing a frame, and knowing whether it was really drawn.

use std::cell::Cell;
use std::pin::pin;
use std::sync::Arc;
use std::task::{Context, Waker};
use std::thread::JoinHandle;

use pixels::wgpu::{Backends, CommandEncoder, Device, Instance, InstanceDescriptor, Queue, TextureFormat, TextureView};
use pixels::{Error, Pixels, PixelsBuilder, PixelsContext, SurfaceTexture};
use raw_window_handle::{HasDisplayHandle, HasWindowHandle};
use winit::window::Window;

/// Loads the graphics drivers on a thread of its own while the window is still being opened; they
/// stay loaded for as long as the thread's value lives.
pub fn load_drivers() -> JoinHandle<Instance> {
    std::thread::spawn(|| {
        let descriptor =
            InstanceDescriptor { backends: backends(), ..InstanceDescriptor::new_without_display_handle() };
        let instance = Instance::new(descriptor);
        let mut adapters = pin!(instance.enumerate_adapters(backends()));
        // Native drivers answer at once; where they do not, the first frame is only later.
        let _ = adapters.as_mut().poll(&mut Context::from_waker(Waker::noop()));
        instance
    })
}

fn backends() -> Backends {
    Backends::from_env().unwrap_or(Backends::PRIMARY)
}

/// Pixels over the window.
pub struct Screen {
    pixels: Pixels<'static>,
    connection: &'static str,
}

impl Screen {
    /// Opens them: with an X connection of its own where there is one, else over the window's.
    ///
    /// # Errors
    /// No graphics driver will draw on this window.
    pub fn open(window: &Arc<Window>, width: u32, height: u32) -> Result<Screen, Error> {
        Screen::build(window, (width, height), (width, height))
    }

    /// The same without a picture of its own: what is presented is painted by [`Screen::present_with`].
    ///
    /// # Errors
    /// No graphics driver will draw on this window.
    pub fn open_bare(window: &Arc<Window>, width: u32, height: u32) -> Result<Screen, Error> {
        Screen::build(window, (width, height), (1, 1))
    }

    fn build(window: &Arc<Window>, size: (u32, u32), picture: (u32, u32)) -> Result<Screen, Error> {
        let backends = backends();
        let over_own = own_connection(window, size, picture, backends);
        if let Some(pixels) = over_own {
            return Ok(Screen { pixels, connection: "own X connection" });
        }
        let shared = build(Arc::clone(window), size, picture, backends);
        let pixels = shared.or_else(|_| build(Arc::clone(window), size, picture, Backends::all()))?;
        Ok(Screen { pixels, connection: "the window's connection" })
    }

    /// Takes another size, which must not be zero.
    ///
    /// # Errors
    /// The driver cannot hold a picture of that size.
    pub fn resize(&mut self, width: u32, height: u32) -> Result<(), Error> {
        self.resize_surface(width, height)?;
        self.pixels.resize_buffer(width, height)?;
        Ok(())
    }

    /// The same, where there is no picture.
    ///
    /// # Errors
    /// The driver cannot hold a picture of that size.
    pub fn resize_surface(&mut self, width: u32, height: u32) -> Result<(), Error> {
        self.pixels.resize_surface(width, height)?;
        Ok(())
    }

    /// The picture, four bytes a pixel.
    pub fn frame_mut(&mut self) -> &mut [u8] {
        self.pixels.frame_mut()
    }

    /// Hands the picture to the screen; `false` when the window is hidden and nothing was drawn.
    ///
    /// # Errors
    /// The driver refused.
    pub fn present(&self) -> Result<bool, Error> {
        self.render(|encoder, target, context| context.scaling_renderer.render(encoder, target))
    }

    /// Hands over what `paint` paints; `false` when the window is hidden and nothing was drawn.
    ///
    /// # Errors
    /// The driver refused.
    pub fn present_with(
        &self,
        paint: impl FnOnce(&mut CommandEncoder, &TextureView, &Device, &Queue),
    ) -> Result<bool, Error> {
        self.render(|encoder, target, context| paint(encoder, target, &context.device, &context.queue))
    }

    fn render(&self, paint: impl FnOnce(&mut CommandEncoder, &TextureView, &PixelsContext)) -> Result<bool, Error> {
        // The library reports success when it has drawn nothing; only this closure knows.
        let drawn = Cell::new(false);
        self.pixels.render_with(|encoder, target, context| {
            paint(encoder, target, context);
            drawn.set(true);
            Ok(())
        })?;
        Ok(drawn.get())
    }

    /// What textures and buffers are made on.
    #[must_use]
    pub fn device(&self) -> &Device {
        self.pixels.device()
    }

    /// What they are filled through.
    #[must_use]
    pub fn queue(&self) -> &Queue {
        self.pixels.queue()
    }

    /// How the window's pixels are stored.
    #[must_use]
    pub fn format(&self) -> TextureFormat {
        self.pixels.render_texture_format()
    }

    /// Kind of display and driver, for the log's header.
    #[must_use]
    pub fn describe(&self) -> String {
        let driver = self.pixels.adapter().get_info();
        format!("{} ({}), {}", driver.name, driver.backend, self.connection)
    }
}

/// Width and height in pixels.
type Size = (u32, u32);

#[cfg(all(unix, not(target_os = "macos")))]
fn own_connection(window: &Arc<Window>, size: Size, picture: Size, backends: Backends) -> Option<Pixels<'static>> {
    let surface = super::x11_surface::X11Surface::new(window)?;
    build(surface, size, picture, backends).ok()
}

#[cfg(not(all(unix, not(target_os = "macos"))))]
fn own_connection(_: &Arc<Window>, _: Size, _: Size, _: Backends) -> Option<Pixels<'static>> {
    None
}

fn build<W>(target: W, size: Size, picture: Size, backends: Backends) -> Result<Pixels<'static>, Error>
where
    W: HasWindowHandle + HasDisplayHandle + Send + Sync + 'static,
{
    let surface = SurfaceTexture::new(size.0, size.1, target);
    PixelsBuilder::new(picture.0, picture.1, surface).wgpu_backend(backends).build()
}
